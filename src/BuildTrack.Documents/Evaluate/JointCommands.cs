using System.Globalization;
using System.Text.Json.Nodes;
using BuildTrack.Metrology.Joints;
using static BuildTrack.Documents.Evaluate.FlatnessCommand;
using static System.FormattableString;

namespace BuildTrack.Documents.Evaluate;

/// <summary>Steps at joints of rails, and pitch at joints of racks from heights of a roller.</summary>
internal static class JointCommands
{
    public static EvaluationKind StepKind { get; } = new(
        "joint-step", "steps at joints of rail segments, of several runs", "joint,run,step_um (height behind the joint less height before it, toward +X)", []);

    public static EvaluationKind RackKind { get; } = new(
        "rack-joint", "pitch error at joints of racks from heights of a roller in the tooth spaces; positive where the gap is too wide",
        "joint,space,height_um (space 0 at the joint, -1 -2 -3 before it, 1 2 3 behind it)",
        [("pressure-angle-deg", "pressure angle in degrees, of a helical rack in the normal section; 20 where not given"), ("helix-angle-deg", "helix angle in degrees; 0 where not given")]);

    public static EvaluationOutcome Steps(TextReader csv, string fileName)
    {
        var (rows, faults) = Read(csv, fileName, "run", "step_um", "the number of the run, 1 or more", n => n >= 1);
        if (faults.Count > 0)
        {
            return EvaluationOutcome.Bad(faults);
        }

        if (rows.Count == 0)
        {
            return EvaluationOutcome.NoAnswer("There are no rows: a joint needs one run or more.");
        }

        var steps = JointCalculation.Steps([.. rows.Select(r => new StepReading(r.Joint, r.Number, r.Value))]);
        return EvaluationOutcome.Of(new JsonObject
        {
            ["largestUm"] = Number(steps.LargestUm), ["largestAt"] = steps.LargestAt,
            ["joints"] = new JsonArray([.. steps.Joints.Select(j => (JsonNode)new JsonObject
            {
                ["joint"] = j.Joint, ["runs"] = j.Runs, ["meanUm"] = Number(j.MeanUm), ["largestUm"] = Number(j.LargestUm), ["rangeUm"] = Number(j.RangeUm),
            })]),
        });
    }

    public static EvaluationOutcome Racks(TextReader csv, string fileName, IReadOnlyDictionary<string, string> options)
    {
        var numbers = new NumberOptions(options);
        var pressure = numbers.Read("pressure-angle-deg", a => a is >= JointCalculation.SmallestPressureDegrees and <= JointCalculation.LargestPressureDegrees, "an angle in degrees from 5 to 45") ?? 20;
        var helix = numbers.Read("helix-angle-deg", a => Math.Abs(a) <= JointCalculation.LargestHelixDegrees, "an angle in degrees within ±60") ?? 0;
        var (rows, faults) = Read(csv, fileName, "space", "height_um", "the number of the tooth space, 0 at the joint", _ => true);
        if (numbers.Faults.Count + faults.Count > 0)
        {
            return EvaluationOutcome.Bad([.. numbers.Faults, .. faults]);
        }

        var racks = JointCalculation.Racks([.. rows.Select(r => new RollerReading(r.Joint, r.Number, r.Value))], pressure, helix);
        return racks.LargestAt is null ? EvaluationOutcome.NoAnswer(racks.DefectSentence ?? "The heights give no pitch.") : EvaluationOutcome.Of(new JsonObject
        {
            ["factor"] = Number(racks.FactorUmPerUm), ["largestUm"] = Number(racks.LargestUm), ["largestAt"] = racks.LargestAt,
            ["joints"] = new JsonArray([.. racks.Joints.Select(j => (JsonNode)new JsonObject
            {
                ["joint"] = j.Joint, ["spacesEachSide"] = j.SpacesEachSide, ["heightUm"] = Number(j.HeightUm), ["pitchErrorUm"] = Number(j.PitchErrorUm), ["stepUm"] = Number(j.StepUm),
            })]),
        });
    }

    /// <summary>Rows of a joint's name, a whole number that stands once at a joint, and a value in µm.</summary>
    private static (List<(string Joint, int Number, double Value)> Rows, IReadOnlyList<EvaluationFault> Faults) Read(
        TextReader csv, string fileName, string numberColumn, string valueColumn, string expected, Func<int, bool> fits)
    {
        List<(string, int, double)> rows = [];
        var table = new PointTable(csv, fileName);
        if (!table.ReadHeader())
        {
            return (rows, table.Faults);
        }

        var (joint, number, value) = (table.Need("joint", "a column joint"), table.Need(numberColumn, $"a column {numberColumn}"), table.Need(valueColumn, $"a column {valueColumn}"));
        if (table.Faults.Count > 0)
        {
            return (rows, table.Faults);
        }

        var lines = new Dictionary<(string, int), long>();
        while (!table.TooManyFaults && table.ReadRow() is { } row)
        {
            if (!table.RightLength(row))
            {
                continue;
            }

            var name = PointTable.Text(row, joint);
            if (name.Length == 0)
            {
                table.FaultAt(row, joint, "the name of the joint");
            }

            var whole = int.TryParse(PointTable.Text(row, number).Replace('−', '-'), NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out var n) && fits(n);
            if (!whole)
            {
                table.FaultAt(row, number, expected);
            }

            if (!(table.Number(row, value, "µm", JointCalculation.LargestNumber, out var v) & whole) || name.Length == 0)
            {
                continue;
            }

            if (lines.TryAdd((name, n), table.Line))
            {
                rows.Add((name, n, v));
            }
            else
            {
                table.Fault(row[number], Invariant($"{numberColumn} {n} at joint {name} a second time (first in line {lines[(name, n)]})"), "each once at a joint");
            }
        }

        return (rows, table.Faults);
    }
}
