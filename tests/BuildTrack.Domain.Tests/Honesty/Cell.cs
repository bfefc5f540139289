using System.Globalization;

namespace BuildTrack.Domain.Tests.Honesty;

/// <summary>What is measured: heights of a bed about a plane, or two rails about a line each.</summary>
public enum Part
{
    Bed,
    Rail,
}

/// <summary>How the readings come about.</summary>
public enum Data
{
    /// <summary>One independent height for each station.</summary>
    Independent,

    /// <summary>Slopes of a stepped level, added up: along every row, and once across to join the rows of a bed.</summary>
    Steps,

    /// <summary>Slopes between all neighbours, adjusted by least squares; beds only.</summary>
    Network,
}

/// <summary>The true form.</summary>
public enum Form
{
    Crown,
    Twist,
    Saddle,
    Wave,
    OneHighPad,
    Alternating,

    /// <summary>Heights without any order.</summary>
    FlatWithNoise,
}

/// <summary>What a cell has beside noise.</summary>
public enum Special
{
    None,

    /// <summary>The result's next action is followed up to five times, until the answer is not "not proven".</summary>
    RepeatedAttempts,

    /// <summary>All passes share an error as large as the register's common part, of the true form: it makes the part look worse.</summary>
    SharedWith,

    /// <summary>The same turned over: it makes the part look better.</summary>
    SharedAgainst,

    /// <summary>All passes share errors of the stations with a third of the variance of the noise; the common part is their 97.5 % zone.</summary>
    SharedStations,

    /// <summary>Readings are rounded to 5 µm, of a level to as much over a step; the register knows the digit.</summary>
    CoarseRounding,

    /// <summary>The register's random part is itself an estimate with four degrees of freedom, drawn anew for every part; the register knows them.</summary>
    EstimatedSigma,
}

/// <summary>One case of the test of honesty: who is measured, how, how often and with how much noise.</summary>
/// <param name="Noise">Standard uncertainty of one reading in one pass as a height or a rise, µm.</param>
/// <param name="Reference">Word of the requirement's reference.</param>
public sealed record Cell(Part Part, Data Data, Form Form, int Stations, double Noise, string Reference, Special Special = Special.None)
{
    public string Name => string.Create(
        CultureInfo.InvariantCulture, $"{Part} {Data} {Form}, {Stations} stations, {Noise} µm, {Reference}{(Special == Special.None ? "" : $", {Special}")}");

    /// <summary>A seed of its own, by the name (FNV-1a).</summary>
    public ulong Seed => Name.Aggregate(14695981039346656037UL, (hash, letter) => (hash ^ letter) * 1099511628211UL);
}
