using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;
using BuildTrack.Metrology;
using BuildTrack.Metrology.Commissioning;
using BuildTrack.Metrology.Corrections;

namespace BuildTrack.Domain.SitePacks;

/// <summary>What is worked out beside a machine without any record of it: dew point, gas for a row of cuts, moves of the feet. The same on the server and on a tablet without network.</summary>
/// <remarks>Methods: docs/method/commissioning.md, docs/method/corrections.md. It plans and records nothing; a verdict comes from a measurement only.</remarks>
public static class SiteReckoning
{
    public const string DewPointKind = "dew-point";
    public const string GasKind = "gas";
    public const string FeetKind = "feet";

    // As the check of the witnessed cuts: nitrogen at 20 °C, a drilled nozzle (common practice, no source).
    private const double Discharge = 0.85;
    private const double GasCelsius = 20;
    private const double LeastMarginK = 2;

    /// <summary>Works out what a form asks for.</summary>
    /// <param name="kind">One of the kinds above.</param>
    /// <param name="feet">The machine's feet; only those are asked for heights.</param>
    /// <exception cref="ArgumentException">A kind that is none.</exception>
    public static Reckoned Of(string kind, SiteFeet feet, IEnumerable<TypedField> typed)
    {
        ArgumentNullException.ThrowIfNull(feet);
        var form = new Form(typed);
        var lines = kind switch
        {
            DewPointKind => DewPoint(form),
            GasKind => Gas(form),
            FeetKind => Feet(form, feet),
            _ => throw new ArgumentException($"{kind} is not worked out here.", nameof(kind)),
        };
        return form.Faults.Count > 0 ? new Reckoned([], [.. form.Faults]) : new Reckoned([.. lines], []);
    }

    private static IEnumerable<string> DewPoint(Form form)
    {
        var air = form.Number("Air", "the air's temperature, °C", Metrology.Commissioning.DewPoint.ColdestCelsius, Metrology.Commissioning.DewPoint.WarmestCelsius);
        var humidity = form.Number("Humidity", "relative humidity, %", 1, 100);
        var coolant = form.Maybe("Coolant", "the coolant's temperature, °C", -20, 90);
        if (form.Faults.Count > 0)
        {
            return [];
        }

        var dew = Metrology.Commissioning.DewPoint.Of(Temperature.FromDegreesCelsius(air), humidity, coolant is { } set ? Temperature.FromDegreesCelsius(set) : null, LeastMarginK);
        var point = $"Dew point {Shown(dew.DewPoint.DegreesCelsius, 1)} °C.";
        return dew.MarginK is not { } margin ? [point]
            : [point, $"The coolant stands {Shown(margin, 1)} K above it; at least {Shown(LeastMarginK, 0)} K are wanted: {(margin >= LeastMarginK ? "no water on optics and cabinet" : "water may settle on optics and cabinet; raise the coolant or dry the air")}."];
    }

    private static IEnumerable<string> Gas(Form form)
    {
        var nozzle = form.Number("Nozzle", "the nozzle's diameter, mm", 0.1, NozzleFlow.WidestMm);
        var pressure = form.Number("Pressure", "the pressure at the head, bar", 0.1, 60);
        var minutes = form.Number("Minutes", "the minutes of all cuts together", 0.1, 1000);
        var stock = form.Number("Stock", "the gas that is there, Nm³", 0, 100_000);
        var vaporiser = form.Maybe("Vaporiser", "the vaporiser's rating, Nm³/h", 0, 10_000);
        if (form.Faults.Count > 0)
        {
            return [];
        }

        var flow = NozzleFlow.Of(CuttingGas.Nitrogen, nozzle, pressure, Temperature.FromDegreesCelsius(GasCelsius), Discharge);
        var plant = new GasPlant(stock, vaporiser);
        var supply = GasSupply.Of([new PlannedCut(minutes, flow.NormalCubicMetresPerHour)], plant);
        return
        [
            $"{Shown(flow.NormalCubicMetresPerHour, 1)} Nm³/h of nitrogen leave the nozzle{(flow.Choked ? "" : ", not yet at the speed of sound")}.",
            $"{Shown(supply.StockNeededNm3, 1)} Nm³ are needed with pierces, purging and reserve; {Shown(stock, 1)} are there: {(supply.StockSuffices ? "enough" : "not enough")}.",
            supply.ContinuousNm3PerHour is { } continuous
                ? $"The vaporiser gives {Shown(continuous, 1)} Nm³/h without end, the cut needs {Shown(supply.PeakNm3PerHour, 1)}: {(supply.VaporiserSuffices ? "enough" : "not enough; an interrupted cut is a failed sample")}."
                : "Gas from bottles: no vaporiser holds it back.",
        ];
    }

    private static IEnumerable<string> Feet(Form form, SiteFeet feet)
    {
        double[] heights = [.. feet.Feet.Select(f => form.Number(f.Id, $"the height of the bed over {f.Id}, mm", -20, 20))];
        if (form.Faults.Count > 0)
        {
            return [];
        }

        var moves = FootMoves.Of(
            [.. feet.Feet.Select((f, i) => new FootPlace(f.Id, f.XMm, f.YMm, heights[i] * 1000, MmPerTurn: feet.MmPerTurn))], FootGoal.RaiseToHighest, FootReference.Level,
            new FootRules(feet.SmallestUm, feet.StepUm));
        return moves.RefusalSentence is { } refused ? [refused]
            :
            [
                .. moves.Moves.Where(m => m.MoveUm > 0).Select(m => $"{m.Name}: raise {Shown(m.MoveUm / 1000, 2)} mm by the indicator{(m.TurnDegrees is { } turn ? $", about {Shown(turn, 0)}° of the nut" : "")}, in {m.Passes} {(m.Passes == 1 ? "pass" : "passes")}."),
                $"Range now {Shown(moves.RangeUm / 1000, 3)} mm, expected {Shown(moves.PredictedRangeUm / 1000, 3)} mm; measure again after the round.",
            ];
    }

    private static string Shown(double value, int decimals) => Math.Round(value, decimals).ToString("F" + decimals.ToString(CultureInfo.InvariantCulture), CultureInfo.InvariantCulture).Replace('-', '\u2212');

    /// <summary>The fields of a form, with what was wrong in them.</summary>
    private sealed class Form(IEnumerable<TypedField> typed)
    {
        private readonly Dictionary<string, string> fields = typed.GroupBy(t => t.Name, StringComparer.Ordinal).ToDictionary(g => g.Key, g => g.Last().Typed, StringComparer.Ordinal);

        public List<string> Faults { get; } = [];

        public double Number(string name, string what, double least, double largest) => Maybe(name, what, least, largest, required: true) ?? 0;

        public double? Maybe(string name, string what, double least, double largest, bool required = false)
        {
            var text = fields.GetValueOrDefault(name, "").Trim();
            if (text.Length == 0 && !required)
            {
                return null;
            }

            if (NumberText.TryUnderstand(text, "1", out _, out var number, out _) && number >= least && number <= largest)
            {
                return number;
            }

            Faults.Add(string.Create(CultureInfo.InvariantCulture, $"Found {(text.Length == 0 ? "nothing" : Quoted.Of(text))}, expected {what}, a number from {least} to {largest}"));
            return null;
        }
    }
}

/// <summary>A field of a form as it was typed.</summary>
public sealed record TypedField(string Name, string Typed);

/// <summary>What came out, in sentences; or what was wrong, and then nothing came out.</summary>
public sealed record Reckoned(ImmutableArray<string> Lines, ImmutableArray<string> Faults);

/// <summary>The feet of a machine as they are moved beside it.</summary>
/// <param name="MmPerTurn">Rise of one turn, mm; null for wedge feet.</param>
/// <param name="SmallestUm">Smaller moves are left, µm.</param>
/// <param name="StepUm">Largest move in one pass, µm.</param>
public sealed record SiteFeet(ImmutableArray<Station> Feet, double? MmPerTurn, double SmallestUm, double StepUm);
