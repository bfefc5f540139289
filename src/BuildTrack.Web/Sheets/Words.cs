using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Corrections;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Revisions;
using System.Globalization;

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

    /// <summary>"38 min", "2 h 5 min", "3 days": what is shorter than a minute is none.</summary>
    public static string Duration(TimeSpan time) => FormattableString.Invariant(
        time < TimeSpan.FromHours(1) ? $"{time.Minutes} min" : time < TimeSpan.FromDays(2) ? $"{(int)time.TotalHours} h {time.Minutes} min" : (FormattableString)$"{time.Days} days");

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
        RevisionPart.ReworkTrigger => "Rework trigger",
        RevisionPart.CorrectionFigure => "Figure for corrections",
        RevisionPart.Component => "Component to be listed",
        RevisionPart.CompanyRule => "Company rule",
        RevisionPart.Qualification => "List of people",
        RevisionPart.Kit => "Kit",
        RevisionPart.KitPart => "Part of the kit",
        _ => part.ToString(),
    };

    public static string Correction(CorrectionKind kind) => kind switch
    {
        CorrectionKind.Shim => "Shim the low pads",
        CorrectionKind.Remill => "Re-mill",
        CorrectionKind.Concession => "Concession",
        CorrectionKind.RailPush => "Push the rail",
        CorrectionKind.DriveOffset => "Offset a drive of the gantry",
        CorrectionKind.JointRealign => "Set the joint again",
        _ => throw new ArgumentOutOfRangeException(nameof(kind), kind, "There is no such correction."),
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
        _ when name.Contains(' ', StringComparison.Ordinal) => char.ToUpperInvariant(name[0]) + name[1..],
        _ => char.ToUpperInvariant(name[0]) + System.Text.RegularExpressions.Regex.Replace(name[1..], "(?<=[a-z])(?=[A-Z])", " ").ToLowerInvariant(),
    };

    /// <summary>"small difference: U 1 µm + 1.5 µm per m, up to 2000 mm, k = 2".</summary>
    public static string Figure(RegisterFigure figure) => FormattableString.Invariant(
        $"{figure.Use}: U {figure.A}{(figure.BPerMetre is { } b ? $" + {b} per m" : "")}{(figure.UpToMm is { } up ? FormattableString.Invariant($", up to {up:0} mm") : "")}, k = {figure.K}{(figure.DegreesOfFreedom is { } nu ? FormattableString.Invariant($", {nu:0.#} degrees of freedom") : "")}");

    /// <summary>An amount as it was stated, with a true minus.</summary>
    public static string Of(Amount amount) => amount.ToString().Replace('-', '−');

    /// <summary>A share of a whole in percent; a dash for none.</summary>
    public static string Percent(double? share) => share is { } part ? (100 * part).ToString("0.#", CultureInfo.InvariantCulture).Replace('-', '−') + " %" : "–";

    /// <summary>"17 stations", "16 steps of 250 mm", "any two stations", "whole".</summary>
    public static string Places(MachineRecord machine, Survey survey, string? feature)
    {
        var stations = machine.Revision.StationsOf(survey, machine.Model, feature).Length;
        return survey.Places == PlaceKind.Whole || stations == 0 ? "whole"
            : survey.Stepped ? FormattableString.Invariant($"{machine.Revision.PlacesOf(survey, machine.Model, feature).Length} steps of {survey.BaseLengthMm:0.###} mm")
            : survey.Places == PlaceKind.Between ? FormattableString.Invariant($"any two of {stations} stations")
            : FormattableString.Invariant($"{stations} stations");
    }

    /// <summary>How to walk with a level: from where to where, feet how far apart, and what a plus means.</summary>
    public static string Walk(MachineRecord machine, Survey survey, string? feature, double feetMm)
    {
        var places = machine.Revision.PlacesOf(survey, machine.Model, feature);
        return places.IsEmpty ? FormattableString.Invariant($"Feet {feetMm:0.###} mm apart.")
            : FormattableString.Invariant($"Feet {feetMm:0.###} mm apart, on {Place.Parse(places[0]).From} and {Place.Parse(places[0]).To} first, on {Place.Parse(places[^1]).From} and {Place.Parse(places[^1]).To} last; back the same way. The level keeps its arrow for the whole run: do not turn it. Plus is a rise the way the arrow points.");
    }

    /// <summary>A text as a sentence: with a capital and a full stop.</summary>
    public static string Sentence(string text) => text.Length == 0 ? "" : char.ToUpperInvariant(text[0]) + text[1..] + (text[^1] == '.' ? "" : ".");

    public static string Temperatures(Conditions? conditions) =>
        conditions is null ? "not taken"
        : FormattableString.Invariant($"top {string.Join(", ", conditions.Top)} °C, bottom {string.Join(", ", conditions.Bottom)} °C")
            + (conditions.Gradient is { } g ? FormattableString.Invariant($", largest difference {g} °C") : "")
            + (conditions.Anyway is { } why ? $"; measured anyway: {why}" : "");

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
        var survey = machine.SurveysOf(characteristic)[^1];
        var step = $"{root}/step/{machine.Revision.Survey(survey).Step}?survey={survey}";
        return next.Kind switch
        {
            NextKind.MeasureContactsAgain or NextKind.MeasureAllAgain => $"{step}&again={characteristic.Line}#begin",
            NextKind.Rework => $"{root}/bed-change",
            NextKind.Release => $"{root}/release/{characteristic.Hold}",
            _ => $"{step}#begin",
        };
    }

    /// <summary>A deviation with its sign: to 0.1 of lengths and slopes, to 0.001 of what has another unit.</summary>
    public static string Deviation(double value, string unit) => Shown.Signed(value, unit is "µm" or "µm/m" ? 1 : 3);

    /// <summary>A title within a sentence: its first word small, unless it is a name as R1 or X; units and names after it stay as they are.</summary>
    public static string Within(string title) =>
        title.Length > 1 && char.IsLower(title[1]) ? string.Concat(char.ToLowerInvariant(title[0]).ToString(), title.AsSpan(1)) : title;
}
