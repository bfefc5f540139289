using BuildTrack.Domain.Evaluating;

namespace BuildTrack.Domain.Tests.Honesty;

/// <summary>The cells: all of them for a night, and a choice with every form, size, noise, kind of data and special case for every change.</summary>
internal static class Grid
{
    /// <summary>Set to "all", the whole grid is run.</summary>
    public const string Variable = "BUILDTRACK_HONESTY";

    private static readonly int[] Sizes = [12, 26, 60, 120];
    private static readonly double[] Noises = [1, 2, 3, 5, 8];
    private static readonly string[] References = [FlatnessEvaluator.LeastSquares, FlatnessEvaluator.MinimumZone];
    private static readonly Form[] Forms = Enum.GetValues<Form>();

    private static readonly (Part Part, Data Data)[] Kinds =
    [
        (Part.Bed, Data.Independent), (Part.Bed, Data.Steps), (Part.Bed, Data.Network), (Part.Rail, Data.Independent), (Part.Rail, Data.Steps),
    ];

    public static bool Whole { get; } = Environment.GetEnvironmentVariable(Variable) == "all";

    /// <summary>The cells that are run now.</summary>
    public static IReadOnlyList<Cell> Now { get; } = [.. Whole ? All() : Chosen()];

    /// <summary>Every combination, and every special case with every form.</summary>
    public static IEnumerable<Cell> All() =>
        from kind in Kinds
        from form in Forms
        from size in Sizes
        from cell in (IEnumerable<Cell>)
        [
            .. from noise in Noises from reference in References select new Cell(kind.Part, kind.Data, form, size, noise, reference),
            .. from special in Specials(kind.Data) from reference in References select new Cell(kind.Part, kind.Data, form, size, NoiseOf(special), reference, special),
        ]
        select cell;

    /// <summary>For each kind of data every form, with sizes, noises and references in turn; for each special case one cell of each kind of data.</summary>
    public static IEnumerable<Cell> Chosen()
    {
        for (var k = 0; k < Kinds.Length; k++)
        {
            for (var f = 0; f < Forms.Length; f++)
                yield return new Cell(Kinds[k].Part, Kinds[k].Data, Forms[f], Sizes[(k + f) % 4], Noises[((2 * k) + f) % 5], References[(k + (f / 2)) % 2]);
            var specials = Specials(Kinds[k].Data).ToArray();
            for (var s = 0; s < specials.Length; s++)
                yield return new Cell(Kinds[k].Part, Kinds[k].Data, Forms[(s + (3 * k)) % Forms.Length], Sizes[(s + k) % 2], NoiseOf(specials[s]), References[(k + s) % 2], specials[s]);
        }
    }

    // Errors that stations keep are known of heights; a level's readings share its zero and its drift.
    private static IEnumerable<Special> Specials(Data data) =>
        Enum.GetValues<Special>().Where(s => s != Special.None && (data == Data.Independent || s != Special.SharedStations));

    private static double NoiseOf(Special special) => special == Special.CoarseRounding ? 1 : 3;
}
