using BuildTrack.Documents.Drawings;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Nonconformances;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Machines;
using BuildTrack.Web.Sheets;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>One result: its map, its framed word, limit, reach and margin, the places that fix it, and what to do next.</summary>
public sealed class ResultsModel(MachineReader machines) : SheetPage
{
    public MachineRecord Machine { get; private set; } = null!;

    public AgreedCharacteristicView Of { get; private set; } = null!;

    public DeviationMap? Map { get; private set; }

    /// <summary>By how many degrees the bed is turned in the oblique view; null for the plain one.</summary>
    public int? Turn { get; private set; }

    /// <summary>The chart of an axis or of a power log with its caption; null for everything else.</summary>
    public (string Caption, string Svg)? Chart { get; private set; }

    public string? Scale { get; private set; }

    public EvaluationResult? Result => Of.Standing.Evaluation?.Record.Result;

    /// <summary>Where the reach comes from; null where there is none.</summary>
    public ResultBudget? Budget { get; private set; }

    public HoldStanding Hold { get; private set; } = null!;

    /// <summary>Who may press the button of the next action.</summary>
    public bool MayGoOn => Result?.Next.Kind switch
    {
        NextKind.Release => May(ActKind.Release),
        NextKind.Rework => May(ActKind.ChangeBed),
        _ => May(ActKind.BeginRun),
    };

    /// <summary>What was raised from this line, in the order of the numbers.</summary>
    public IEnumerable<Nonconformance> Nonconformances => Machine.Nonconformances.Where(n => n.Line == Of.Agreed.Characteristic.Line);

    /// <summary>The surveys this result rests on.</summary>
    public IEnumerable<Domain.Checklists.Survey> Surveys => Machine.SurveysOf(Of.Agreed.Characteristic).Select(Machine.Revision.Survey);

    /// <summary>The series this result belongs to; null for none.</summary>
    public Domain.Checklists.SeriesPlan? Series => Machine.Revision.Series.FirstOrDefault(s => s.Results.Contains(Of.Agreed.Characteristic.Id));

    public bool MayRaise => May(ActKind.RaiseNonconformance) && NonconformanceRules.FromResult(Machine, Of.Agreed).Result is not null;

    /// <summary>What tests the value is a further pass, not a run over frozen places.</summary>
    public bool ByFurtherPass => Result is { Again: { IsDefaultOrEmpty: false } again } && Machine.Measurements.SelectMany(m => m.Runs).Any(x => x.Id == again[0].Run && x.Kind == Domain.Measuring.RunKind.Pass);

    /// <summary>The address of the same sheet with the bed turned further.</summary>
    public string Turned(int further) => FormattableString.Invariant($"{SheetSets.UrlOf(Machine.Serial)}/results/{Of.Agreed.Characteristic.Line}?turn={((Turn ?? 0) + further + 360) % 360}");

    /// <param name="turn">Degrees, a multiple of 15; what is none is shown plainly.</param>
    public async Task OnGet(string serial, string line, int? turn)
    {
        await Open();
        Turn = turn is >= 0 and < 360 && turn % 15 == 0 ? turn : null;
        Machine = await machines.Load(serial, Cancel);
        var agreed = Machine.AgreedAt(line);
        Of = new AgreedCharacteristicView(agreed, Machine.StandingOf(agreed));
        Hold = Machine.StandingOfHold(Machine.Revision.Holds.Single(h => h.Id == agreed.Characteristic.Hold));
        if (Of.Standing.Evaluation is { } evaluation)
        {
            Map = DeviationMap.Of(evaluation.Record, Turn);
            Budget = ResultBudget.Of(evaluation.Record);
            Chart = ResultChart.Of(evaluation.Record) is var (caption, drawing) ? (caption, SvgText.Of(drawing, "chart")) : null;
            Scale = VerdictScale.Svg(evaluation.Record);
        }

        Name(Machine, agreed.Characteristic.Title, "Result sheet", line, Hold.Released is { } r ? NameOf(r.Person) : $"held at {Hold.Hold.Id}",
            Of.Standing.Evaluation is null ? Of.Standing.Word : "Calculated", $"{SheetSets.UrlOf(serial)}/results/{line}", Of.Standing.Evaluation?.At);
    }
}
