using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Revisions;

namespace BuildTrack.Web.Sheets;

/// <summary>Small texts that several sheets say the same way.</summary>
public static class Words
{
    /// <summary>"at most 0.100 mm" or "at least 16.0 mm".</summary>
    public static string Limit(Requirement requirement) => requirement is { Upper: { Value: 0, Unit: "1" } } ? "no question answered no" : (requirement.Upper, requirement.Lower, requirement.Table) switch
    {
        ({ } upper, { } lower, _) => $"{Shown.InUnitOf(lower.Calculated, requirement)} to {Shown.InUnitOf(upper.Calculated, requirement)}",
        ({ } upper, null, _) => $"at most {Shown.InUnitOf(upper.Calculated, requirement)}",
        (null, { } lower, _) => $"at least {Shown.InUnitOf(lower.Calculated, requirement)}",
        (null, null, { } table) => $"table {table} over {requirement.Over}",
        _ => "none",
    };

    /// <summary>A part of the inspection and test plan.</summary>
    public static string Part(RevisionPart part) => part switch
    {
        RevisionPart.LimitTable => "Limit table",
        RevisionPart.Characteristic => "Check",
        RevisionPart.Column => "Column or question",
        RevisionPart.HoldPoint => "Hold point",
        RevisionPart.CertificateScope => "Certificate",
        RevisionPart.InvalidationRule => "Act on the bed",
        RevisionPart.WorkCentre => "Work centre",
        _ => part.ToString(),
    };

    public static string Reference(string? reference) => reference switch
    {
        "least-squares" => "least-squares plane",
        "minimum-zone" => "minimum zone",
        null => "–",
        _ => reference,
    };

    /// <summary>"leastSquares" as a person says it.</summary>
    public static string Figure(string name) => name switch
    {
        "leastSquares" => "Least-squares plane",
        "minimumZone" => "Minimum zone",
        _ => char.ToUpperInvariant(name[0]) + System.Text.RegularExpressions.Regex.Replace(name[1..], "(?<=[a-z])(?=[A-Z])", " ").ToLowerInvariant(),
    };

    public static string Temperatures(Conditions? conditions) =>
        conditions is null ? "not taken"
        : FormattableString.Invariant($"top {string.Join(", ", conditions.Top)} °C, bottom {string.Join(", ", conditions.Bottom)} °C")
            + (conditions.Gradient is { } g ? FormattableString.Invariant($", largest difference {g} °C") : "");

    /// <summary>The act that the next action asks for, as the words on its button; null where nothing is done on a sheet.</summary>
    public static string? Button(NextAction next) => next.Kind switch
    {
        NextKind.Record => "Measure",
        NextKind.MeasureContactsAgain => next.Places.Length == 1 ? "Measure this place again" : "Measure these places again",
        NextKind.MeasureAllAgain => "Measure every place again",
        NextKind.AddPass => "Begin a further pass",
        NextKind.MendConditions => "Begin a new run",
        NextKind.Rework => "Record work on the bed",
        NextKind.Release => "To the release sheet",
        _ => null,
    };

    /// <summary>The sheet on which the next action is done.</summary>
    public static string Url(MachineRecord machine, AgreedCharacteristic agreed, NextAction next)
    {
        var (root, characteristic) = (SheetSets.UrlOf(machine.Serial), agreed.Characteristic);
        var survey = machine.SurveysOf(characteristic)[0];
        var step = $"{root}/step/{machine.Revision.Survey(survey).Step}?survey={survey}";
        return next.Kind switch
        {
            NextKind.MeasureContactsAgain or NextKind.MeasureAllAgain => $"{step}&again={characteristic.Line}#begin",
            NextKind.Rework => $"{root}/bed-change",
            NextKind.Release => $"{root}/release/{characteristic.Hold}",
            _ => $"{step}#begin",
        };
    }
}
