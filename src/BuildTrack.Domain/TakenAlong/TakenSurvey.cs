using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Domain.TakenAlong;

/// <summary>A survey as a tablet takes it along, so that a run of it can be begun where there is no network: the part of a machine's record that such a run is measured and calculated with. It names nobody.</summary>
/// <param name="Revision">Of the plan only what the survey and the checks over it need.</param>
/// <param name="Measurements">Those that count now; of the survey itself the one that the run will belong to.</param>
/// <param name="Evaluations">Results of other checks that those over the survey are calculated from.</param>
/// <param name="Instruments">What may be chosen.</param>
/// <param name="Feature">The rail or part; null for the whole.</param>
public sealed record TakenSurvey(
    string Serial, MachineModel Model, ChecklistRevision Revision, ImmutableArray<OrderTerm> Order, ImmutableArray<Measurement> Measurements, ImmutableArray<StoredEvaluation> Evaluations,
    ImmutableArray<TakenInstrument> Instruments, string Survey, string? Feature)
{
    // What is calculated does not depend on it.
    private const string Nobody = "-";

    /// <summary>Takes a survey of a machine along.</summary>
    public static TakenSurvey Of(MachineRecord machine, Survey survey, string? feature, IEnumerable<RegisterEntry> register)
    {
        ArgumentNullException.ThrowIfNull(machine);
        ArgumentNullException.ThrowIfNull(survey);
        var plan = machine.Revision;
        var over = plan.Characteristics.Where(c => c.From.Values.Any(f => f.Survey == survey.Id)).ToList();
        var beside = over.SelectMany(c => c.From.Values).Select(f => f.Result).OfType<string>().Distinct().Select(id => plan.Characteristics.Single(c => c.Id == id)).ToList();
        ImmutableArray<Characteristic> checks = [.. over.Concat(beside).DistinctBy(c => c.Id)];
        ImmutableArray<Survey> surveys = [.. plan.Surveys.Where(s => s.Id == survey.Id || checks.Any(c => c.From.Values.Any(f => f.Survey == s.Id)))];
        var revision = new ChecklistRevision(
            plan.Hash, plan.Edition, [], [.. plan.Holds.Where(h => checks.Any(c => c.Hold == h.Id))], [], [machine.Model], [.. plan.Layouts.Where(l => surveys.Any(s => s.Layout == l.Id))], surveys, checks,
            [.. plan.Limits.Where(l => l.Class == machine.Model.Class)], plan.Tables, [], [], [], [], [], []);
        var mine = machine.Current(survey.Id, feature) is { } current && machine.VoidedBy(current) is null ? current
            : new Measurement(0, survey.Id, feature, (machine.Current(survey.Id, feature)?.No ?? 0) + 1, survey.Passes, null, machine.Ordered, Nobody, []);
        var measurements = surveys.SelectMany(s => machine.Currents(s.Id)).OfType<Measurement>().Where(m => (m.Survey, m.Feature) != (survey.Id, feature)).Append(mine);
        return new TakenSurvey(
            machine.Serial, machine.Model, revision,
            [.. machine.Order.Where(o => checks.Any(c => c.Id == o.Characteristic)).Select(o => o with { ApprovedBy = Nobody })],
            [.. measurements.Select(m => m with { BegunBy = Nobody, Runs = [.. m.Runs.Select(TakenRun.WithoutNames)] })],
            [.. beside.Select(c => machine.EvaluationOf(c.Line)).OfType<StoredEvaluation>().Select(e => e with { Record = e.Record with { Input = e.Record.Input with { Sources = e.Record.Input.Sources.Clear() } } })],
            [.. register.Where(i => i.State == InstrumentState.InService && survey.Instruments.Contains(i.Quantity)).Select(i => new TakenInstrument(i with { Holder = null }, i.LastChecked, i.CheckFailed))],
            survey.Id, feature);
    }

    /// <summary>The measurement that a run begun now belongs to.</summary>
    internal Measurement Mine => Measurements.Single(m => m.Survey == Survey && m.Feature == Feature);

    internal TakenSurvey With(Measurement mine) => this with { Measurements = Measurements.Replace(Mine, mine) };

    /// <summary>The machine as far as it was taken along.</summary>
    internal MachineRecord Machine => new(Serial, Model, Nobody, Revision, true, Order, Measurements, [], Evaluations, [], [], [], new Canonical.Instant(0), 0);
}

/// <summary>An instrument that was taken along, with what the register knows of its checks before use.</summary>
/// <param name="LastChecked">Day of its last check, yyyy-MM-dd; null for none.</param>
/// <param name="CheckFailed">Its last check in a sentence, where that failed.</param>
public sealed record TakenInstrument(RegisterEntry Entry, string? LastChecked, string? CheckFailed)
{
    internal RegisterEntry Standing => Entry with { LastChecked = LastChecked, CheckFailed = CheckFailed };
}
