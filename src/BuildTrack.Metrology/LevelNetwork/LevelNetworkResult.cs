using System.Collections.Immutable;

namespace BuildTrack.Metrology.LevelNetwork;

/// <summary>An adjusted point.</summary>
/// <param name="Id">Its name.</param>
/// <param name="HeightUm">Adjusted height, or the fixed one, µm.</param>
/// <param name="SigmaUm">Standard deviation, σ₀ √q, µm; zero for a fixed point; null where nothing says how good the observations are.</param>
/// <param name="Cofactor">q: diagonal of the inverse of the normal matrix; unit of 1/weight (dimensionless, or µm²).</param>
public sealed record LevelHeight(string Id, double HeightUm, double? SigmaUm, double Cofactor);

/// <summary>The unknown of a line.</summary>
/// <param name="Line">Its name.</param>
/// <param name="RiseUm">What each observation of the line holds too much, µm per observation.</param>
public sealed record LineSlope(string Line, double RiseUm);

/// <summary>One observation of a loop.</summary>
/// <param name="Index">Index of the observation in the input.</param>
/// <param name="Sign">+1 where the loop runs with it, −1 where it runs against it; dimensionless.</param>
public readonly record struct LoopStep(int Index, int Sign);

/// <summary>A loop and its closure.</summary>
/// <param name="Points">The points in the order they are passed; the last one leads back to the first.</param>
/// <param name="Steps">The observations in that order; a step between two fixed points has none.</param>
/// <param name="ClosureUm">Sum of the rises around the loop (less the unknowns of their lines), µm; zero without errors.</param>
public sealed record LevelLoop(ImmutableArray<string> Points, ImmutableArray<LoopStep> Steps, double ClosureUm);

/// <summary>An observation that does not agree with the others.</summary>
/// <param name="Index">Index in the input.</param>
/// <param name="Test">Standardised residual: w, or τ where σ is estimated from the same residuals; dimensionless.</param>
/// <param name="Critical">What it exceeded, dimensionless.</param>
public sealed record DoubtfulObservation(int Index, double Test, double Critical);

/// <summary>Which set of independent loops is given.</summary>
public enum LoopBasis
{
    /// <summary>No set has a smaller number of observations in all.</summary>
    Shortest,

    /// <summary>Each loop is the shortest at the moment when a growing net closes it; not always the shortest set.</summary>
    Grown,
}

/// <summary>Whether the residuals as a whole are as large as the standard uncertainties say.</summary>
/// <param name="Sigma0">σ₀ of the network, dimensionless.</param>
/// <param name="Lower">√(χ²/ν) of the 2.5 % quantile, dimensionless: below it the uncertainties are stated too large, or the observations are not independent.</param>
/// <param name="Upper">√(χ²/ν) of the 97.5 % quantile, dimensionless: above it they are stated too small, or an observation is wrong.</param>
public sealed record GlobalTest(double Sigma0, double Lower, double Upper)
{
    public bool Agrees => Sigma0 >= Lower && Sigma0 <= Upper;
}

/// <summary>An adjusted network.</summary>
/// <remarks>Method, sources and limits: docs/method/level-network.md.</remarks>
/// <param name="Heights">In the order in which the points appear.</param>
/// <param name="Lines">Unknowns of the lines, µm, in the order in which they appear.</param>
/// <param name="ResidualsUm">v = adjusted − observed, µm, in the order of the input.</param>
/// <param name="Redundancy">Share of each observation's error that shows in its residual, 0 to 1, dimensionless; they add to the degrees of freedom.</param>
/// <param name="SumOfSquares">Σ p v²: dimensionless with known standard uncertainties, else weight × µm².</param>
/// <param name="Sigma0">√(Σ p v²/ν): dimensionless with known standard uncertainties, else µm at weight 1; null without redundancy.</param>
/// <param name="DegreesOfFreedom">Observations less independent unknowns.</param>
/// <param name="Global">Null where the standard uncertainties are not known, or without redundancy.</param>
/// <param name="Loops">As many independent loops as the graph of points has, short ones first.</param>
/// <param name="Basis">Which set of loops that is.</param>
/// <param name="Doubtful">In the order of the input.</param>
/// <param name="SmallestDetectableUm">Error of each observation, µm, that its own test finds with 80 % certainty; null where no other observation checks it, or nothing says how good they are.</param>
public sealed record LevelNetworkValues(
    ImmutableArray<LevelHeight> Heights,
    ImmutableArray<LineSlope> Lines,
    ImmutableArray<double> ResidualsUm,
    ImmutableArray<double> Redundancy,
    double SumOfSquares,
    double? Sigma0,
    int DegreesOfFreedom,
    GlobalTest? Global,
    ImmutableArray<LevelLoop> Loops,
    LoopBasis Basis,
    ImmutableArray<DoubtfulObservation> Doubtful,
    ImmutableArray<double?> SmallestDetectableUm);

/// <summary>Why a network has no heights.</summary>
public enum LevelNetworkDefect
{
    /// <summary>It has them.</summary>
    None,

    /// <summary>No observations.</summary>
    Empty,

    /// <summary>Parts that no observation joins, or a part without a fixed height.</summary>
    Disconnected,

    /// <summary>The unknown slopes of the lines leave heights undetermined.</summary>
    Undetermined,

    /// <summary>More points and observations than this calculation holds.</summary>
    TooLarge,
}

/// <summary>An adjusted network, or the defect that leaves none.</summary>
/// <param name="Values">Null with a defect.</param>
/// <param name="Defect">What is wrong, if anything.</param>
/// <param name="DefectSentence">The defect in words, with the names of the points; null without one.</param>
public sealed record LevelNetworkResult(LevelNetworkValues? Values, LevelNetworkDefect Defect, string? DefectSentence);
