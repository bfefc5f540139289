using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.SitePacks;
using BuildTrack.Domain.TakenAlong;
using BuildTrack.Records.Instruments;
using BuildTrack.Records.Machines;
using BuildTrack.Records.People;
using BuildTrack.Records.Qualifications;
using BuildTrack.Web.Sheets;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>Begins a run of a survey on site where there is no network: the sheet that a tablet carries, with the form, every place, and what calculates with it. The server answers it with nothing but what to carry.</summary>
public sealed class WithoutNetworkModel(MachineReader machines, InstrumentReader register, PeopleReader people, QualificationReader qualified) : SheetPage
{
    public MachineRecord Machine { get; private set; } = null!;

    public SiteBegin Begin { get; private set; } = null!;

    public Survey Survey => Begin.Survey.Survey;

    public string? Feature => Begin.Survey.Feature;

    public BeginFields Fields { get; private set; } = null!;

    /// <summary>The survey as the calculations on the tablet read it.</summary>
    public TakenSurvey Taken { get; private set; } = null!;

    /// <summary>This person's own open pass of it: a run begun here waits behind its end, and what waits here may be put into it.</summary>
    public Run? OpenRun => Machine.Current(Survey.Id, Feature)?.Open is { Kind: RunKind.Pass } open && open.Person == Me.Person ? open : null;

    /// <summary>The places as a run goes over them in each direction and with each arrow that may be chosen, by their words.</summary>
    public IEnumerable<(string Choice, StationView View)> Variants =>
        from direction in Survey.BothDirections ? new Direction?[] { Direction.Outward, Direction.Back } : [null]
        from arrow in Survey.BaseLengthMm is not null ? new LevelArrow?[] { LevelArrow.PlusX, LevelArrow.MinusX } : [null]
        let draft = TabletBegin.Draft(Taken, direction, arrow)
        select (string.Join(' ', new object?[] { direction, arrow }.OfType<object>()), new StationView(new RunView(draft.Machine, Survey, draft.Measurement, draft.Run), null));

    public string TakenText => CanonicalJson.Of(Taken);

    /// <summary>When it was taken along, µs UTC.</summary>
    public string At => Now.Microseconds.ToString(CultureInfo.InvariantCulture);

    public async Task OnGet(string serial, string survey, string? feature)
    {
        await Open();
        Machine = await machines.Load(serial, Cancel);
        var site = SitePack.Of(Machine).Surveys.FirstOrDefault(s => s.Survey.Id == survey && s.Feature == feature)
            ?? throw new NotFoundException($"There is no survey {survey}{(feature is null ? "" : $" of {feature}")} in the work on site of {serial}.");
        Begin = SiteBegin.Of(Machine, site, Me, await qualified.Today(Cancel));
        ImmutableArray<RegisterEntry> instruments = [.. (await register.List(Cancel)).Where(i => i.State == InstrumentState.InService)];
        Fields = new BeginFields(Machine, Survey, Feature, new StepModel.BeginForm(), instruments, await StepModel.HelpersOf(people, Me.Person, Cancel), Clock.Day(Now), Carried: true);
        Taken = TakenSurvey.Of(Machine, Survey, Feature, instruments);
        Name(Machine, $"Begin without network: {Begin.Title}", "Site pack", "site", "–", "packed", SitePackModel.UrlOf(serial));
    }
}
