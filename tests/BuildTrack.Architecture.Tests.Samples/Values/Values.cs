using System.Collections.Immutable;

namespace Samples.Values;

public struct OpenStruct
{
    public double LengthUm;

    public int Count { get; set; }
}

public readonly record struct ClosedStruct(double LengthUm);

public record struct OpenRecordStruct(double LengthUm);

public sealed record OpenRecord(string Name)
{
    public string Note { get; set; } = "";
}

public sealed record GrowingRecord(List<string> Names, double[] HeightsUm);

public sealed record ClosedRecord(string Name, ImmutableArray<double> HeightsUm)
{
    public string Note { get; init; } = "";
}

/// <summary>Not a value: a row is filled while it is read.</summary>
public sealed class Row
{
    public string Name { get; set; } = "";
}
