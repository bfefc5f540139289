using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Nonconformances;
using BuildTrack.Domain.PaperProtocols;
using BuildTrack.Domain.PunchList;
using BuildTrack.Domain.Route;

namespace BuildTrack.Domain.Rules;

/// <summary>When the certificate of a scope may be issued, as far as the machine's record says; whether its evidence is sound stands with the files.</summary>
public static class CertificateRules
{
    public const string NotIssued = "R-CERTIFICATE-01";
    public const string VoidAlready = "R-CERTIFICATE-02";

    /// <summary>Which hold point of a scope is not released; null when all are.</summary>
    public static string? WhyNotComplete(MachineRecord machine, CertificateScope scope) =>
        Points(machine, scope).Select(machine.StandingOfHold).FirstOrDefault(h => h.Released is null) is { } open ? $"{open.Hold.Id} of {machine.Serial} is not released" : null;

    /// <summary>What blocks a certificate although every hold point of its scope is released: an open item of class A, an open nonconformance, a step that was opened again. Null for nothing.</summary>
    public static string? WhyBlocked(MachineRecord machine, CertificateScope scope)
    {
        var points = Points(machine, scope);

        // Raised after the release, and not closed since: nobody certifies what is known not to conform.
        var rule = PunchRules.WhyBlocked(machine)
            ?? points.Select(h => NonconformanceRules.WhyBlocked(machine, h)).FirstOrDefault(r => r is not null)
            ?? points.Select(h => PaperRules.WhyBlocked(machine, h)).FirstOrDefault(r => r is not null)
            ?? points.Select(h => RouteRules.WhyNotWork(machine, h.Step)).FirstOrDefault(r => r is not null);
        return rule is not null ? rule.ToString().TrimEnd('.')
            : points.FirstOrDefault(h => OpenedAgain(machine, h)) is { } again
                ? $"step {again.Step} {machine.Route.Of(again.Step).Step.Name} was opened again after the release of {again.Id} and is not finished" : null;
    }

    /// <summary>The certificate that covers the releases of a scope already; null where there is none, or it is void or older than one of them.</summary>
    public static CertificateState? Covering(MachineRecord machine, CertificateScope scope) =>
        machine.Certificates.Where(c => c.Scope == scope.Id).MaxBy(c => c.Issue) is { Stage: not CertificateStage.Void } last
            && scope.Holds.All(h => machine.Decisions.LastOrDefault(d => d.Hold == h) is { } decision && decision.Id < last.Id) ? last : null;

    private static ImmutableArray<HoldPoint> Points(MachineRecord machine, CertificateScope scope) => [.. scope.Holds.Select(id => machine.Revision.Holds.Single(h => h.Id == id))];

    // Work goes on at a step whose release still stands: what it does to the bed is not recorded yet.
    private static bool OpenedAgain(MachineRecord machine, HoldPoint hold)
    {
        var since = machine.StandingOfHold(hold).Released?.Id ?? long.MaxValue;
        return machine.RouteCard.Any(e => e.Step == hold.Step && e.Act == RouteAct.Reopen && e.Id > since) && !machine.Route.Of(hold.Step).Complete;
    }
}
