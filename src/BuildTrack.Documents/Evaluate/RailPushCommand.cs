using System.Runtime.InteropServices;
using System.Text.Json.Nodes;
using BuildTrack.Metrology.Corrections;
using BuildTrack.Metrology.Straightness;
using static BuildTrack.Documents.Evaluate.CorrectionJson;
using static BuildTrack.Documents.Evaluate.FlatnessCommand;

namespace BuildTrack.Documents.Evaluate;

/// <summary>Pushes at the push screws of a bowed rail seat.</summary>
internal static class RailPushCommand
{
    public static EvaluationKind Kind { get; } = new(
        "rail-push", "pushes at the screws of a bowed rail seat, and the straightness they leave", "position_mm,deviation_um",
        [
            ("limit-um", "limit of the straightness, µm"), ("reference", "end-point, least-squares or minimum-zone; end-point where not given"),
            ("degree", "degree of the polynomial that is taken out, 1 to 6; 2 where not given"),
        ]);

    public static EvaluationOutcome Run(TextReader csv, string fileName, IReadOnlyDictionary<string, string> options)
    {
        var numbers = new NumberOptions(options);
        var limit = numbers.Need("limit-um", n => n is > 0 and <= 1e6, "a number in µm above 0 and up to 10⁶");
        var degree = numbers.Read("degree", n => n is >= 1 and <= RailPush.HighestDegree && n == Math.Floor(n),
            "a whole number from 1 to 6") ?? RailPush.UsualDegree;
        var reference = numbers.Word("reference", "end-point", "least-squares", "minimum-zone") switch
        {
            "least-squares" => LineReference.LeastSquares,
            "minimum-zone" => LineReference.MinimumZone,
            _ => LineReference.EndPoint,
        };
        var (positions, deviations, faults) = Read(csv, fileName);
        if (numbers.Faults.Count + faults.Count > 0)
        {
            return EvaluationOutcome.Bad([.. numbers.Faults, .. faults]);
        }

        var push = RailPush.Of(CollectionsMarshal.AsSpan(positions), CollectionsMarshal.AsSpan(deviations), limit!.Value, reference, (int)degree);
        return push.Stations.IsEmpty ? EvaluationOutcome.NoAnswer(push.RefusalSentence!) : EvaluationOutcome.Of(new JsonObject
        {
            ["reference"] = Always(push.Reference), ["degree"] = push.Degree, ["beforeUm"] = Number(push.BeforeUm), ["afterUm"] = Number(push.AfterUm),
            ["minimumZoneAfterUm"] = Number(push.MinimumZoneAfterUm), ["waveAfterUm"] = Number(push.WaveAfterUm), ["limitUm"] = Number(push.LimitUm),
            ["stations"] = Array(push.Stations, s => new JsonObject
            {
                ["positionMm"] = Number(s.PositionMm), ["deviationUm"] = Number(s.DeviationUm), ["pushUm"] = Number(s.PushUm),
                ["predictedUm"] = Number(s.PredictedUm),
            }),
            ["orderMm"] = Array(push.Order, i => Number(push.Stations[i].PositionMm)), ["refusal"] = Word(push.Refusal),
            ["refusalSentence"] = push.RefusalSentence,
        });
    }

    private static (List<double> Positions, List<double> Deviations, IReadOnlyList<EvaluationFault> Faults) Read(TextReader csv, string fileName)
    {
        List<double> positions = [], deviations = [];
        var table = new PointTable(csv, fileName);
        if (!table.ReadHeader())
        {
            return (positions, deviations, table.Faults);
        }

        var (position, deviation) = (table.Need("position_mm", "a column position_mm"), table.Need("deviation_um", "a column deviation_um"));
        if (table.Faults.Count > 0)
        {
            return (positions, deviations, table.Faults);
        }

        while (!table.TooManyFaults && table.ReadRow() is { } row)
        {
            if (table.RightLength(row)
                && table.Number(row, position, "mm", LevelReadings.LargestNumber, out var at) & table.Number(row, deviation, "µm", LevelReadings.LargestNumber,
                    out var value))
            {
                positions.Add(at);
                deviations.Add(value);
            }
        }

        return (positions, deviations, table.Faults);
    }
}
