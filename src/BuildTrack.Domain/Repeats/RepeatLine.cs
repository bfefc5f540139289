using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Planning;
using BuildTrack.Domain.Route;

namespace BuildTrack.Domain.Repeats;

/// <summary>What is proposed to measure a quantity with.</summary>
/// <param name="Instrument">Number of the instrument; null where the register has none that is valid.</param>
/// <param name="Proves">It leaves the company's share of every limit provable that is planned; null where no plan is worked out.</param>
/// <param name="Note">What to know of it: why there is none, that it is checked first, that it proves too little.</param>
public sealed record ProposedInstrument(string Quantity, string? Instrument, string? Name, bool? Proves, string? Note);

/// <summary>One survey that must be done anew.</summary>
/// <param name="Feature">The rail, joint or sample; null where the survey has none.</param>
/// <param name="Lines">The results that rest on it and are to be repeated.</param>
/// <param name="Because">What makes it necessary.</param>
/// <param name="HoursBefore">How long its runs took the last time, h; null where none was finished.</param>
/// <param name="PlannedHours">Planned hours of the whole step, h; null without a plan.</param>
/// <param name="WaitsFor">Why it cannot be measured now; null where it can.</param>
public sealed record RepeatLine(
    RouteStep Step, Survey Survey, string? Feature, ImmutableArray<Characteristic> Lines, string Because, double? HoursBefore, decimal? PlannedHours,
    ImmutableArray<ProposedInstrument> Instruments, string? WaitsFor);

/// <summary>What must be repeated on a machine, as a list in the order of its route.</summary>
public static class RepeatList
{
    /// <summary>Every survey whose measurement is void, with the results that wait for it.</summary>
    /// <param name="register">The latest state of every instrument.</param>
    /// <param name="day">yyyy-MM-dd in plant time: instruments must be valid on it.</param>
    public static ImmutableArray<RepeatLine> Of(MachineRecord machine, ImmutableArray<RegisterEntry> register, string day)
    {
        ArgumentNullException.ThrowIfNull(machine);
        var open = machine.Agreed().Where(a => machine.StandingOf(a).Standing == Standing.ToBeRepeated).ToImmutableArray();
        var surveys = open.SelectMany(a => machine.SurveysOf(a.Characteristic)).Distinct().Select(machine.Revision.Survey);
        var lines =
            from survey in surveys
            from measurement in machine.Currents(survey.Id).OfType<Measurement>()
            let because = machine.VoidedBy(measurement)
            where because is not null
            let resting = open.Where(a => machine.SurveysOf(a.Characteristic).Contains(survey.Id)).OrderBy(a => a.Characteristic.Place).ToImmutableArray()
            let step = machine.Revision.FindStep(survey.Step)!
            orderby machine.Revision.Steps.IndexOf(step), resting[0].Characteristic.Place, measurement.Feature
            select new RepeatLine(
                step, survey, measurement.Feature, [.. resting.Select(a => a.Characteristic)], because, HoursOf(measurement),
                step.Hours.TryGetValue(machine.Model.Class, out var hours) ? hours : null,
                [.. survey.Instruments.Select(q => Propose(machine, survey, q, resting, measurement, register, day))], RouteRules.WhyNotWork(machine, survey.Step)?.Sentence);
        return [.. lines];
    }

    private static double? HoursOf(Measurement measurement)
    {
        var finished = measurement.Runs.Where(r => r.Counts && r.Kind != RunKind.SpotCheck).ToList();
        return finished.Count == 0 ? null : finished.Sum(r => (r.Finished!.Value.Microseconds - r.Begun.Microseconds) / 3.6e9);
    }

    // The instrument of before is preferred where it still serves: what it finds compares with what it found.
    private static ProposedInstrument Propose(
        MachineRecord machine, Survey survey, string quantity, ImmutableArray<AgreedCharacteristic> resting, Measurement before, ImmutableArray<RegisterEntry> register, string day)
    {
        ImmutableArray<RegisterEntry> fit = [.. register.Where(e => e.Quantity == quantity && e.WhyNotValidOn(day) is null)];
        if (fit.IsEmpty)
        {
            return new ProposedInstrument(quantity, null, null, null, $"no instrument for {quantity} is valid on {day}");
        }

        var used = before.Runs.SelectMany(r => r.Instruments).Select(i => i.Id).ToHashSet();
        var plans = resting.Where(a => a.Characteristic.From.Values.Any(f => f.Survey == survey.Id && survey.FindColumn(f.Column!)?.Quantity == quantity))
            .Select(a => MeasuringPlans.AsListed(machine, a, fit, day)).Where(p => !p.IsEmpty).ToList();
        var chosen = fit.Select(e => (Entry: e, Good: plans.Count(p => p.Any(x => x.Instrument == e.Id && x.Enough)), U: plans.SelectMany(p => p).Where(x => x.Instrument == e.Id).Select(x => x.Expanded).DefaultIfEmpty(double.MaxValue).Min()))
            .OrderByDescending(c => c.Good).ThenByDescending(c => used.Contains(c.Entry.Id)).ThenBy(c => c.U).ThenBy(c => c.Entry.Id, StringComparer.Ordinal).First();
        bool? proves = plans.Count == 0 ? null : chosen.Good == plans.Count;
        var notes = new[]
        {
            proves == false ? FormattableString.Invariant($"leaves enough of the limit in {chosen.Good} of {plans.Count} results; see the plan") : null,
            chosen.Entry.NeedsCheck == true ? "check it first" : null,
        }.OfType<string>();
        return new ProposedInstrument(quantity, chosen.Entry.Id, chosen.Entry.Name, proves, string.Join("; ", notes) is { Length: > 0 } note ? note : null);
    }
}
