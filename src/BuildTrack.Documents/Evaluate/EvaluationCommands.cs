using System.Collections.Immutable;
using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Nodes;

namespace BuildTrack.Documents.Evaluate;

/// <summary>The evaluations that outside programs may ask for, by command or over the network: same input, same object.</summary>
/// <remarks>Contract: field names grow and never change meaning. No database is read or written.</remarks>
public static class EvaluationCommands
{
    private static readonly JsonSerializerOptions Indented = new() { WriteIndented = true, Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping };

    private static readonly ImmutableArray<(EvaluationKind Kind, Evaluate Evaluate)> All =
    [
        (FlatnessCommand.Kind, (csv, file, _) => FlatnessCommand.Run(csv!, file)),
        (StraightnessCommand.Kind, (csv, file, options) => StraightnessCommand.Run(csv!, file, options)),
        (LevelNetworkCommand.Kind, (csv, file, options) => LevelNetworkCommand.Run(csv!, file, options)),
        (PositioningCommand.Kind, (csv, file, _) => PositioningCommand.Run(csv!, file)),
        (PositioningUncertaintyCommand.Kind, (_, _, options) => PositioningUncertaintyCommand.Run(options)),
        (CircularCommand.Kind, (csv, file, options) => CircularCommand.Run(csv!, file, options)),
        (SquarenessCommand.Kind, (_, _, options) => SquarenessCommand.Run(options)),
        (TwoMethodsCommand.Kind, (_, _, options) => TwoMethodsCommand.Run(options)),
        (RailPairCommand.Kind, (csv, file, options) => RailPairCommand.Run(csv!, file, options)),
        (JointCommands.StepKind, (csv, file, _) => JointCommands.Steps(csv!, file)),
        (JointCommands.RackKind, (csv, file, options) => JointCommands.Racks(csv!, file, options)),
        (ReversalCommands.StraightedgeKind, (csv, file, options) => ReversalCommands.Straightedge(csv!, file, options)),
        (ReversalCommands.LevelKind, (_, _, options) => ReversalCommands.Level(options)),
        (ThermalCommands.LengthKind, (_, _, options) => ThermalCommands.Length(options)),
        (ThermalCommands.BowKind, (_, _, options) => ThermalCommands.Bow(options)),
        (CoolingCommands.Kind, (csv, file, options) => CoolingCommands.Run(csv!, file, options)),
        (CoolingCommands.WallKind, (_, _, options) => CoolingCommands.Wall(options)),
        (FootMovesCommand.Kind, (csv, file, options) => FootMovesCommand.Run(csv!, file, options)),
        (ShimCommand.Kind, (csv, file, options) => ShimCommand.Run(csv!, file, options)),
        (RemillCommand.Kind, (csv, file, options) => RemillCommand.Run(csv!, file, options)),
        (RailPushCommand.Kind, (csv, file, options) => RailPushCommand.Run(csv!, file, options)),
        (PlateGradeCommand.Kind, (_, _, options) => PlateGradeCommand.Run(options)),
        (MachineSafetyCommands.StoppingKind, (csv, file, options) => MachineSafetyCommands.Stopping(csv!, file, options)),
        (MachineSafetyCommands.BondingKind, (_, _, options) => MachineSafetyCommands.Bonding(options)),
        (LaserCommands.PowerKind, (_, _, options) => LaserCommands.Power(options)),
        (LaserCommands.DriftKind, (csv, file, options) => LaserCommands.Drift(csv!, file, options)),
        (LaserCommands.CausticKind, (csv, file, options) => LaserCommands.Caustic(csv!, file, options)),
        (GasCommands.DewPointKind, (_, _, options) => GasCommands.Dew(options)),
        (GasCommands.FlowKind, (_, _, options) => GasCommands.Flow(options)),
        (GasCommands.SupplyKind, (csv, file, options) => GasCommands.Supply(csv!, file, options)),
        (LaserCommands.KerfKind, (_, _, options) => LaserCommands.Width(options)),
        (LaserCommands.EdgeKind, (_, _, options) => LaserCommands.Edge(options)),
        (LaserCommands.ToleranceKind, (_, _, options) => LaserCommands.Tolerance(options)),
        (ConformityCommand.Kind, (_, _, options) => ConformityCommand.Run(options)),
        (ConformityRiskCommand.Kind, (_, _, options) => ConformityRiskCommand.Run(options)),
        (BudgetCommand.Kind, (csv, file, options) => BudgetCommand.Run(csv!, file, options)),
        (StatisticsCommands.ChartKind, (csv, file, options) => StatisticsCommands.Chart(csv!, file, options)),
        (StatisticsCommands.CapabilityKind, (csv, file, options) => StatisticsCommands.Capabilities(csv!, file, options)),
        (GaugeStudyCommand.Kind, (csv, file, options) => GaugeStudyCommand.Run(csv!, file, options)),
    ];

    private delegate EvaluationOutcome Evaluate(TextReader? csv, string fileName, IReadOnlyDictionary<string, string> options);

    public static ImmutableArray<EvaluationKind> Kinds { get; } = [.. All.Select(k => k.Kind)];

    public static EvaluationKind? Find(string name) => Kinds.FirstOrDefault(k => k.Name == name);

    /// <summary>Evaluates.</summary>
    /// <param name="kind">One of <see cref="Kinds"/>.</param>
    /// <param name="csv">The table, for kinds that take a file; read to its end, line by line.</param>
    /// <param name="fileName">What faults call it.</param>
    /// <param name="options">Options without their dashes, as typed; the values of a repeated one each on a line of its own.</param>
    /// <exception cref="ArgumentException">There is no such kind, or it needs a table and got none.</exception>
    public static EvaluationOutcome Run(string kind, TextReader? csv, string fileName, IReadOnlyDictionary<string, string> options)
    {
        var known = Find(kind) ?? throw new ArgumentException($"There is no evaluation '{kind}'; known: {string.Join(", ", Kinds.Select(k => k.Name))}.");
        if (known.TakesFile && csv is null)
        {
            throw new ArgumentException($"{kind} needs a table with the columns {known.Columns}.");
        }

        EvaluationFault[] unknown = [.. options.Keys.Where(o => known.Options.All(k => k.Name != o)).Order(StringComparer.Ordinal)
            .Select(o => new EvaluationFault($"--{o}", null, null, $"'{options[o]}'", $"an option of {kind}{(known.Options.IsEmpty ? ", which has none" : ": " + string.Join(", ", known.Options.Select(k => k.Name)))}"))];
        return unknown.Length > 0 ? EvaluationOutcome.Bad(unknown) : All.First(k => k.Kind == known).Evaluate(csv, fileName, options);
    }

    /// <summary>The object as text: full precision, one member a line.</summary>
    public static string Text(JsonObject result) => result.ToJsonString(Indented);
}
