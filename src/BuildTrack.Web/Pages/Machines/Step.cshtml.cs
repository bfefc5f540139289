using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Qualifications;
using BuildTrack.Domain.Route;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.SpotChecks;
using BuildTrack.Domain.Temperatures;
using BuildTrack.Records.Instruments;
using BuildTrack.Records.Machines;
using BuildTrack.Records.People;
using BuildTrack.Records.Qualifications;
using BuildTrack.Records.Surveys;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>A step of the route: what to do next, its surveys, and the form that begins a run.</summary>
public sealed class StepModel(SurveyActs acts, MachineReader machines, InstrumentReader register, PeopleReader people, QualificationReader qualified) : SheetPage
{
    [BindProperty]
    public BeginForm Begin { get; set; } = new();

    public MachineRecord Machine { get; private set; } = null!;

    public RouteStep Step { get; private set; } = null!;

    public ImmutableArray<Survey> Surveys { get; private set; } = [];

    /// <summary>The survey whose run is begun here.</summary>
    public Survey Chosen { get; private set; } = null!;

    public ImmutableArray<CharacteristicStanding> Standings { get; private set; } = [];

    public ImmutableArray<RegisterEntry> Instruments { get; private set; } = [];

    public ImmutableArray<PersonLine> Helpers { get; private set; } = [];

    public string Today => Clock.Day(Now);

    /// <summary>Conditions at this step; null where no survey of it asks for bed temperatures.</summary>
    public GradientStanding? Gradient => Surveys.Any(s => s.NeedsGradient) ? GradientStanding.Of(Machine, Step.Number) : null;

    public bool MayMeasure => May(ActKind.BeginRun);

    /// <summary>What the run begins with.</summary>
    public BeginFields Fields => new(Machine, Chosen, Feature, Begin, Instruments, Helpers, Today);

    /// <summary>Why nothing can be done at this step now; null where it can.</summary>
    public BrokenRule? WhyNot => RouteRules.WhyNotWork(Machine, Step.Number);

    /// <summary>Why this person may not take the readings of the chosen survey; null where anybody with the role may.</summary>
    public BrokenRule? WhyNotQualified => QualificationRules.WhyNotMeasure(Machine, Chosen, Me.Person, Qualified);

    public QualifiedPeople Qualified { get; private set; } = QualifiedPeople.Nobody;

    /// <summary>Who stands on the lists that the step and the chosen survey ask for.</summary>
    public IEnumerable<WhoMayView> WhoMay =>
        new (string? List, string What)[] { (Step.Qualified, $"The work of step {Step.Number} is begun and finished"), (Chosen.Qualified, $"{Chosen.Title}: done") }
            .DistinctBy(x => x.List).Select(x => WhoMayView.Of(this, Qualified, Machine.Revision, x.List, x.What)).OfType<WhoMayView>();

    /// <summary>The survey is a list of questions.</summary>
    public bool IsList => Chosen.Columns.All(c => c.Kind == ValueKind.Choice);

    /// <summary>The rail, joint or sample that is measured next.</summary>
    public string? Feature { get; private set; }

    /// <summary>One line for each rail or sample; one without name where the survey has none.</summary>
    public IEnumerable<string?> FeaturesOf(Survey survey) => survey.ForEach.IsEmpty ? new string?[] { null } : survey.ForEach;

    public Run? OpenRun => Machine.Current(Chosen.Id, Feature)?.Open;

    /// <summary>Why this person cannot begin the spot check that was asked for; null where it is none, or can be begun.</summary>
    public BrokenRule? WhyNotSpot => Begin.Spot ? SpotCheckRules.WhyNotBegin(Machine, Chosen, Feature, Me.Person, Me.Roles) : null;

    public bool MaySpotCheck(Survey survey, string? feature) => !SpotCheckRules.ColumnsOf(survey).IsEmpty && Machine.ReleasedOver(survey.Id) is null
        && SpotCheckRules.WhyNotBegin(Machine, survey, feature, Me.Person, Me.Roles) is null;

    public Task<IActionResult> OnGet(string serial, int number, string? survey, string? feature, string? again, bool spot, long? handOver)
    {
        (Begin.Survey, Begin.Feature, Begin.Proves, Begin.Spot, Begin.HandOver) = (survey, feature, again, spot, handOver);
        return Show(serial, number);
    }

    public Task<IActionResult> OnPost(string serial, int number) => Act(
        () => acts.BeginRun(Me, Begin.Request(serial), Key, Cancel),
        begun => (RunView.SheetUrlOf(serial, begun.Run), ""),
        () => Show(serial, number));

    private async Task<IActionResult> Show(string serial, int number)
    {
        await Open();
        Machine = await machines.Load(serial, Cancel);
        Step = Machine.Revision.Steps.SingleOrDefault(s => s.Number == number) ?? throw new NotFoundException($"There is no step {number} on the route of {serial}.");
        var needed = Machine.Agreed().SelectMany(a => Machine.SurveysOf(a.Characteristic)).ToHashSet();
        Surveys = [.. Machine.Revision.Surveys.Where(s => s.Step == number && needed.Contains(s.Id))];
        if (Surveys.IsEmpty)
        {
            throw new NotFoundException($"Nothing is measured at step {number}, {Step.Name}.");
        }

        Standings = [.. Machine.Agreed().Where(a => a.Characteristic.Place.Step == number || a.Characteristic.From.Values.Any(f => Surveys.Any(x => x.Id == f.Survey))).Select(Machine.StandingOf)];
        Chosen = Surveys.FirstOrDefault(s => s.Id == Begin.Survey) ?? Surveys.FirstOrDefault(s => Standings.Any(c => !c.Accepted && Machine.SurveysOf(c.Agreed.Characteristic).Contains(s.Id))) ?? Surveys[0];
        Feature = Chosen.ForEach.IsEmpty ? null
            : Chosen.ForEach.Contains(Begin.Feature ?? "") ? Begin.Feature
            : Chosen.ForEach.FirstOrDefault(f => Machine.Current(Chosen.Id, f) is not { } current || current.CountedPasses.Count() < current.PassesPlanned) ?? Chosen.ForEach[0];
        Instruments = await register.List(Cancel);
        Qualified = await qualified.Today(Cancel);
        Helpers = await HelpersOf(people, Me.Person, Cancel);
        Name(Machine, $"{Step.Name}", "Step sheet", $"{number}", "–", $"{Standings.Count(s => s.Accepted)} of {Standings.Length} accepted", $"{SheetSets.UrlOf(serial)}/step/{number}");
        return Page();
    }

    /// <summary>Who may help a person who measures.</summary>
    public static async Task<ImmutableArray<PersonLine>> HelpersOf(PeopleReader people, string person, CancellationToken ct)
    {
        ArgumentNullException.ThrowIfNull(people);
        return [.. (await people.List(ct)).Where(p => !p.Disabled && p.Person != person && p.Roles.Any(r => r is Roles.Technician or Roles.Inspector))];
    }

    /// <summary>What a run begins with, as typed.</summary>
    public sealed class BeginForm
    {
        public string? Survey { get; set; }

        public string? Feature { get; set; }

        public string? Proves { get; set; }

        /// <summary>A spot check of these places.</summary>
        public bool Spot { get; set; }

        public List<string> Places { get; set; } = [];

        /// <summary>The open run of the person before.</summary>
        public long? HandOver { get; set; }

        public Direction? Direction { get; set; }

        public LevelArrow? Arrow { get; set; }

        public List<string?> Instruments { get; set; } = [];

        public List<string?> Checks { get; set; } = [];

        public List<string?> Top { get; set; } = [];

        public List<string?> Bottom { get; set; } = [];

        public string? Air { get; set; }

        public string? Note { get; set; }

        public string? Anyway { get; set; }

        public List<string> Helpers { get; set; } = [];

        /// <exception cref="BadInputException">A temperature is no number.</exception>
        public BeginRunRequest Request(string serial)
        {
            var faults = new List<InputFault>();
            var typed = Typed();
            var conditions = typed.Understand(faults);
            if (faults.Count > 0)
            {
                throw new BadInputException(faults);
            }

            var again = !string.IsNullOrEmpty(Proves);
            return BeginRunRequest.Of(serial, typed, conditions) with
            {
                Kind = Spot ? RunKind.SpotCheck : again ? RunKind.ContactsAgain : RunKind.Pass, Proves = again ? Proves : null, Places = [.. Places], HandOver = HandOver,
            };
        }

        private TypedBegin Typed() => new(
            Survey ?? "", Feature, Direction, Arrow, [.. Instruments.Select(i => i ?? "")], [.. Checks.Select(c => c ?? "")], [.. Top.Select(t => t ?? "")], [.. Bottom.Select(t => t ?? "")], Air, Note, Anyway, [.. Helpers]);
    }
}
