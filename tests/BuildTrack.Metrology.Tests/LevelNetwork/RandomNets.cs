using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.LevelNetwork;

namespace BuildTrack.Metrology.Tests.LevelNetwork;

/// <summary>Seeded random networks of every shape that stands on a machine, and of some that do not.</summary>
internal sealed class RandomNets(ulong seed)
{
    private readonly SeededSource _source = new(seed);
    private readonly List<LevelObservation> _net = [];
    private double _decades;

    public static string[] Shapes { get; } = ["grid", "rails", "one loop", "random", "close", "star", "chain of rings"];

    /// <param name="shape">One of <see cref="Shapes"/>.</param>
    /// <param name="size">Number of points, roughly.</param>
    /// <param name="decades">Weights from 10 to the power of minus this to plus this.</param>
    /// <param name="heights">How many heights to fix.</param>
    public (LevelObservation[] Net, Dictionary<string, double> Known) Next(string shape, int size, double decades, int heights)
    {
        _net.Clear();
        _decades = decades;
        switch (shape)
        {
            case "grid":
                var columns = 2 + _source.NextInt(Math.Max(1, (int)Math.Sqrt(size)));
                var rows = Math.Max(2, size / columns);
                for (var p = 0; p < rows * columns; p++)
                {
                    if (p % columns < columns - 1)
                        Add(p, p + 1, $"row {p / columns}");
                    if (p + columns < rows * columns)
                        Add(p, p + columns, $"column {p % columns}");
                    if (p % columns < columns - 1 && p + columns + 1 < rows * columns && p / columns == p % columns)
                        Add(p, p + columns + 1, "diagonal");
                }

                break;
            case "rails":
                for (var p = 0; p + 3 < size; p += 2)
                {
                    Add(p, p + 2, "left");
                    Add(p + 1, p + 3, "right");
                    if (p == 0 || p + 5 >= size || _source.NextInt(3) == 0)
                        Add(p, p + 1, null);
                }

                Add(0, 1, null);
                break;
            case "one loop":
                Tree(size);
                Add(_source.NextInt(size - 1), size - 1, null);
                break;
            case "star":
                for (var p = 1; p < size; p++)
                    Add(0, p, p % 3 == 0 ? "ray" : null);
                Add(1, 2, null);
                break;
            case "chain of rings":
                for (var p = 0; p + 4 < size; p += 4)
                {
                    for (var k = 0; k < 4; k++)
                        Add(p + k, p + ((k + 1) % 4), null);
                    Add(p + 2, p + 4, null);
                }

                Add(0, 2, null);
                break;
            default:
                Tree(size);
                for (var extra = shape == "close" ? 5 * size : size; extra > 0; extra--)
                {
                    var a = _source.NextInt(size);
                    Add(a, (a + 1 + _source.NextInt(size - 1)) % size, _source.NextInt(2) == 0 ? $"line {_source.NextInt(3)}" : null);
                }

                break;
        }

        // Some twice, some turned round, and the names in no order.
        for (var again = _source.NextInt(4); again > 0; again--)
            _net.Add(_net[_source.NextInt(_net.Count)] with { RiseUm = 20 * _source.NextNormal() });
        var order = Support.Points.Shuffled(_source, _net.Count);
        var names = _net.SelectMany(o => new[] { o.From, o.To }).Distinct().ToArray();
        Dictionary<string, double> known = [];
        for (var k = 0; k < heights; k++)
            known[names[_source.NextInt(names.Length)]] = 50 * _source.NextNormal();
        return ([.. order.Select(i => _net[i])], known);
    }

    public static LevelObservation[] WithoutLines(LevelObservation[] net) => [.. net.Select(o => o with { Line = null })];

    private void Tree(int size)
    {
        for (var p = 1; p < size; p++)
            Add(p, _source.NextInt(p), null);
    }

    private void Add(int a, int b, string? line)
    {
        var (from, to) = line is not null || _source.NextInt(2) == 0 ? (a, b) : (b, a);
        _net.Add(new LevelObservation($"P{from}", $"P{to}", 20 * _source.NextNormal(), Math.Pow(10, _decades * ((2 * _source.NextUniform()) - 1)), line));
    }
}
