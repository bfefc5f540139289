using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Temperatures;

namespace BuildTrack.Domain.Evaluating;

/// <summary>Gathers what a characteristic is calculated from, out of a machine's record.</summary>
public static class EvaluationInputs
{
    /// <summary>The figures of a machine model that a calculation may take.</summary>
    public static ImmutableArray<string> FigureNames { get; } = ["seat-length", "gauge", "bed-depth", "power", "coolant-source", "coolant-head", "focus-diameter"];

    /// <summary>The order of calculation: what rests on other results comes after them.</summary>
    public static IEnumerable<AgreedCharacteristic> InOrder(IEnumerable<AgreedCharacteristic> agreed) =>
        agreed.OrderBy(a => a.Characteristic.From.Values.Any(f => f.Result is not null)).ThenBy(a => a.Characteristic.Line, StringComparer.Ordinal);

    /// <summary>The input of a characteristic as the record stands; sources that are not measured yet have no runs.</summary>
    /// <remarks>A survey with features gives one source for each: "heights/R1", "heights/R2".</remarks>
    /// <exception cref="InvalidOperationException">A source that the checklists do not have (the loader refuses such checklists).</exception>
    public static EvaluationInput For(MachineRecord machine, AgreedCharacteristic agreed)
    {
        var sources = agreed.Characteristic.From.SelectMany(p => Features(machine, p.Value).Select(f => (Name: f is null ? p.Key : $"{p.Key}/{f}", From: p.Value, Feature: f)))
            .ToImmutableSortedDictionary(p => p.Name, p => Resolve(machine, p.From, p.Feature), StringComparer.Ordinal);
        var anyway = sources.Values.Any(s => s.Readings?.Runs.Any(r => r.Counts && r.Conditions?.Anyway is not null) == true);
        return new EvaluationInput(
            Evaluators.Engine, machine.Serial, machine.Model.Id, agreed.Characteristic, agreed.Reference, agreed.Requirement,
            agreed.Requirement.Table is { } table ? machine.Revision.Tables.Single(t => t.Id == table) : null, machine.Model.GradientAllowed, sources,
            anyway ? new Amount(Math.Round((decimal)TemperatureRules.BowOf(machine.Model, 1).BowUm, 3), "µm") : null);
    }

    private static ImmutableArray<string?> Features(MachineRecord machine, SourceRef from) =>
        from.Survey is { } id && machine.Revision.Survey(id).ForEach is { Length: > 0 } features ? [.. features] : [null];

    private static Source Resolve(MachineRecord machine, SourceRef from, string? feature)
    {
        if (from.Survey is { } surveyId)
        {
            var survey = machine.Revision.Survey(surveyId);
            var column = survey.FindColumn(from.Column!) ?? throw new InvalidOperationException($"Survey {surveyId} has no column {from.Column}.");
            var measurement = machine.Current(surveyId, feature);
            return new Source(
                new SurveySource(
                    measurement?.Id ?? 0, measurement?.No ?? 0, surveyId, column.Id, column.Quantity ?? "", measurement?.PassesPlanned ?? survey.Passes,
                    survey.NeedsGradient, survey.BaseLengthMm, machine.Revision.StationsOf(survey, machine.Model, feature),
                    [.. (measurement?.Runs ?? []).Select(r => Seen(r, column.Id))], feature, column.Kind == ValueKind.Choice ? column.Title : null,
                    survey.Places == PlaceKind.At || column.Kind == ValueKind.Choice ? null : survey.Places),
                null, null);
        }

        if (from.Result is { } id)
        {
            var line = machine.Revision.Characteristics.Single(c => c.Id == id).Line;
            var evaluation = machine.EvaluationOf(line);
            var result = evaluation?.Record.Result;
            return new Source(null, new ResultSource(line, evaluation?.Hash ?? "", result?.Value, result?.Unit ?? "", result?.ReachAbove, result?.ReachBelow), null);
        }

        return new Source(null, null, from.Figure switch
        {
            "seat-length" => new Amount((decimal)machine.Model.SeatLengthMm, "mm"),
            "gauge" => new Amount((decimal)machine.Model.GaugeMm, "mm"),
            "bed-depth" => new Amount((decimal)machine.Model.BedDepthMm, "mm"),
            "power" => machine.Model.Power ?? new Amount(0, "W"),
            "coolant-source" => machine.Model.CoolantSource ?? new Amount(0, "l/min"),
            "coolant-head" => machine.Model.CoolantHead ?? new Amount(0, "l/min"),
            "focus-diameter" => machine.Model.FocusDiameter ?? new Amount(0, "µm"),
            _ => throw new InvalidOperationException($"There is no machine figure '{from.Figure}'; known: {string.Join(", ", FigureNames)}."),
        });
    }

    // Only the column's readings; and the moment a result was shown is left out, because showing it must not change its own input.
    private static Run Seen(Run run, string column) =>
        run with { Readings = [.. run.Readings.Where(r => r.Column == column)], Shown = null };
}
