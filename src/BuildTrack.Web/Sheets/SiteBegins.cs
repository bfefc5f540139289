using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Qualifications;
using BuildTrack.Domain.Route;
using BuildTrack.Domain.SitePacks;
using BuildTrack.Records.Acts;

namespace BuildTrack.Web.Sheets;

/// <summary>A survey of the work on site with the sheet that begins a run of it without network.</summary>
/// <param name="WhyNot">Why no run of it can be begun now, in a sentence; null where one can.</param>
public sealed record SiteBegin(SiteSurvey Survey, string Url, string? WhyNot)
{
    /// <summary>"Level across the rails on site, R1".</summary>
    public string Title => Survey.Feature is { } feature ? $"{Survey.Survey.Title}, {feature}" : Survey.Survey.Title;

    /// <summary>As it stands for a person.</summary>
    /// <param name="qualified">The lists for special work today.</param>
    public static SiteBegin Of(MachineRecord machine, SiteSurvey survey, Caller me, QualifiedPeople qualified)
    {
        ArgumentNullException.ThrowIfNull(survey);
        var feature = survey.Feature is { } f ? "/" + Uri.EscapeDataString(f) : "";
        return new SiteBegin(survey, $"{SheetSets.UrlOf(machine.Serial)}/without-network/{Uri.EscapeDataString(survey.Survey.Id)}{feature}", Why(machine, survey.Survey, survey.Feature, me, qualified));
    }

    private static string? Why(MachineRecord machine, Survey survey, string? feature, Caller me, QualifiedPeople qualified) =>
        !Permissions.May(me.Roles, ActKind.BeginRun) ? "A technician or an inspector begins a run."
        : machine.ReleasedOver(survey.Id) is { } released ? $"{released.Hold} is released; nothing released is measured again."
        : (RouteRules.WhyNotWork(machine, survey.Step) ?? QualificationRules.WhyNotMeasure(machine, survey, me.Person, qualified)) is { } rule ? rule.Sentence
        : machine.Current(survey.Id, feature)?.Open is { } open && (open.Person != me.Person || open.Kind != RunKind.Pass) ? $"Run {open.No} of it is open and cannot be finished without network; finish it or set it aside first."
        : survey.Columns.Any(c => c.Kind is not (ValueKind.Number or ValueKind.Choice or ValueKind.Text)) ? "It holds files, which a program records on line."
        : null;
}
