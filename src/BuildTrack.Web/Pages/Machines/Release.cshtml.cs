using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Delegations;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Nonconformances;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Qualifications;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Delegations;
using BuildTrack.Records.Machines;
using BuildTrack.Records.People;
using BuildTrack.Records.Qualifications;
using BuildTrack.Records.Releases;
using BuildTrack.Web.Jobs;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>What an inspector sees before a release: raw readings run by run, conditions, instruments, hands, results; then release or return.</summary>
public sealed class ReleaseModel(ReleaseActs acts, MachineReader machines, QualificationReader qualified, PeopleReader everybody, DelegationReader delegations) : SheetPage
{
    [BindProperty]
    public string? SheetHash { get; set; }

    public MachineRecord Machine { get; private set; } = null!;

    public HoldStanding Hold { get; private set; } = null!;

    public ImmutableArray<AgreedCharacteristicView> Results { get; private set; } = [];

    /// <summary>The surveys the point rests on, each with its current measurements.</summary>
    public ImmutableArray<(Survey Survey, Measurement Measurement)> Measured { get; private set; } = [];

    /// <summary>The runs of these measurements, side by side.</summary>
    public IEnumerable<RunsBeside> Beside => Measured.Select(m => BesideOf(m.Survey, m.Measurement));

    /// <summary>Other points of this machine that only wait for a name.</summary>
    public ImmutableArray<string> Others { get; private set; } = [];

    public string SeenSheet { get; private set; } = "";

    /// <summary>The rule that forbids this person to release.</summary>
    public BrokenRule? WhyNot { get; private set; }

    public BrokenRule? WhyNotReturn { get; private set; }

    public QualifiedPeople People { get; private set; } = QualifiedPeople.Nobody;

    /// <summary>Who stands on the list that the point asks for; null where it asks for none.</summary>
    public WhoMayView? WhoMay => WhoMayView.Of(this, People, Machine.Revision, Hold.Hold.Qualified, "Released");

    private RunsBeside BesideOf(Survey survey, Measurement measurement)
    {
        // Values of the whole have no place that a result could deviate at; what is no length or slope is read off as it stands.
        var result = survey.Places == PlaceKind.Whole ? null : Results.Where(x => Machine.SurveysOf(x.Agreed.Characteristic).Contains(survey.Id))
            .Select(x => x.Standing.Evaluation?.Record.Result).FirstOrDefault(x => x is { Unit: "µm" or "µm/m", Deviations.IsDefaultOrEmpty: false });
        return new RunsBeside(Machine, survey, measurement, result?.Deviations.ToDictionary(d => d.Place, d => d.Value), result?.Unit ?? "µm");
    }

    /// <summary>Only the own hand in the measurement stands against a release by this person: there is the way of an emergency.</summary>
    public bool OnlyOwn => Permissions.May(Me.Own, ActKind.Release) && WhyNot?.Id == ReleaseRules.OwnMeasurement && ReleaseRules.WhyNotRelease(Machine, Hold.Hold, Me.Person, People, inEmergency: true) is null;

    /// <summary>Who could confirm it.</summary>
    public ImmutableArray<PersonLine> Seconds { get; private set; } = [];

    /// <summary>What was typed for an emergency; never a password.</summary>
    public (string? Reason, string? Person) Emergency { get; private set; }

    public bool IsInspector => May(ActKind.Release);

    public bool MayReturn => May(ActKind.Return);

    /// <summary>The delegation under which this person releases; null in the own right.</summary>
    public Delegation? Delegated { get; private set; }

    /// <summary>Who approved a concession, and when.</summary>
    public string Approved(Concession concession) => ConcessionWords.Approved(concession, NameOf, Clock);

    public Task<IActionResult> OnGet(string serial, string hold) => Show(serial, hold);

    public Task<IActionResult> OnPostRelease(string serial, string hold, string? password) => Act(
        async () =>
        {
            var receipt = await acts.Release(Me, new ReleaseRequest(serial, hold, password ?? "", SheetHash ?? ""), Key, Cancel);
            HttpContext.SoonRender();
            return receipt;
        },
        done => (SheetSets.UrlOf(serial), Told(done)),
        () => Show(serial, hold));

    public Task<IActionResult> OnPostEmergency(string serial, string hold, string? password, string? reason, string? second, string? secondPassword)
    {
        Emergency = (reason, second);
        return Act(
            async () =>
            {
                var receipt = await acts.Release(Me, new ReleaseRequest(serial, hold, password ?? "", SheetHash ?? "", new EmergencyRequest(reason, second, secondPassword)), Key, Cancel);
                HttpContext.SoonRender();
                return receipt;
            },
            done => (SheetSets.UrlOf(serial), Told(done)),
            () => Show(serial, hold));
    }

    public Task<IActionResult> OnPostReturn(string serial, string hold, string? reason) => Act(
        () => acts.Return(Me, new ReturnRequest(serial, hold, reason ?? "", SheetHash ?? ""), Key, Cancel),
        _ => (SheetSets.UrlOf(serial), $"{hold} is returned to those who measured."),
        () => Show(serial, hold));

    /// <summary>What a release led to, in a sentence.</summary>
    public static string Told(ReleaseReceipt done) => done.Certificate is { } number ? $"{done.Hold} is released{Under(done)}; certificate {number}, issue {done.Issue}, is being written."
        : $"{done.Hold} is released{Under(done)}.{(done.Blocked is { } why ? $" No certificate yet: {why}." : "")}";

    private static string Under(ReleaseReceipt done) =>
        (done.UnderConcession is { } numbers ? $" under concession {string.Join(", ", numbers)}" : "") + (done.ConfirmedBy is { } second ? $" in an emergency, confirmed by {second}" : "")
        + (done.For is { } acting ? FormattableString.Invariant($" for {acting.Person} under delegation {acting.Delegation}") : "");

    private async Task<IActionResult> Show(string serial, string hold)
    {
        await Open();
        Machine = await machines.Load(serial, Cancel);
        var point = Machine.Revision.Holds.SingleOrDefault(h => h.Id == hold) ?? throw new NotFoundException($"There is no hold point {hold}.");
        Hold = Machine.StandingOfHold(point);
        Results = [.. Hold.Characteristics.Select(c => new AgreedCharacteristicView(c.Agreed, c))];
        Measured = [.. Machine.SurveysOfHold(hold).SelectMany(s => Machine.Currents(s).OfType<Measurement>().Select(m => (Machine.Revision.Survey(s), m)))];
        People = await qualified.Today(Cancel);
        Others = [.. ReleaseRules.Together(Machine, Me.Person, People).Select(p => p.Hold.Hold.Id).Where(id => id != hold)];
        SeenSheet = Machine.SheetHash(hold);
        (Delegated, var notLent) = Permissions.May(Me.Own, ActKind.Release) || !IsInspector ? (null, null) : DelegationRules.ForRelease(Machine, point, Me.Person, await delegations.InForce(Me.Person, Cancel), inEmergency: false);
        WhyNot = notLent ?? ReleaseRules.WhyNotRelease(Machine, point, Me.Person, People);
        Seconds = OnlyOwn ? [.. (await everybody.List(Cancel)).Where(p => !p.Disabled && EmergencyRules.WhyNot(Machine, point, Me.Person, p.Person, Permissions.May(p.Roles, ActKind.Release), People) is null)] : [];
        WhyNotReturn = ReleaseRules.WhyNotReturn(Machine, point);
        Name(Machine, $"Release of {hold}, {point.Name}", "Release sheet", hold, Hold.Released is { } r ? NameOf(r.Person) : "–",
            Hold.Released is not null ? "Released" : Hold.Returned is not null ? "Returned" : Hold.Ready ? $"Recorded, for release at {hold}" : "Held", $"{SheetSets.UrlOf(serial)}/release/{hold}");
        return Page();
    }
}
