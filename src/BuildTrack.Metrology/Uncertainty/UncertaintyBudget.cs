using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Metrology.Verdicts;
using MathNet.Numerics.LinearAlgebra;

namespace BuildTrack.Metrology.Uncertainty;

/// <summary>Law of propagation of uncertainty for a linear or linearised model (JCGM 100:2008, clauses 5 and 6, annex G).</summary>
/// <remarks>
/// Method, sources and limits: docs/method/uncertainty.md. A model that is not nearly straight within its uncertainty needs <see cref="MonteCarlo"/>.
/// </remarks>
public static class UncertaintyBudget
{
    /// <summary>Most components that are taken, a count, dimensionless.</summary>
    public const int MostComponents = 200;

    /// <summary>Smallest coverage probability that is taken, dimensionless.</summary>
    public const double SmallestProbability = 0.5;

    /// <summary>Largest coverage probability that is taken, dimensionless.</summary>
    public const double LargestProbability = 0.9999;

    // Coefficients are written with two or three decimals; a matrix of such may miss being semidefinite by rounding alone, but not by more than this.
    private const double LeastEigenvalue = -1e-9;

    private const string NoDegrees =
        "Correlated components: the formula of Welch and Satterthwaite does not hold (JCGM 100:2008, G.4.1), "
        + "so the degrees of freedom are not defined and not taken as infinite";

    /// <summary>Combines the components and gives U for a coverage probability, or for a coverage factor that is given.</summary>
    /// <param name="components">One or more, each name once.</param>
    /// <param name="correlations">Pairs that are correlated; all others are not.</param>
    /// <param name="coverageProbability">0.5 to 0.9999, dimensionless; not used where <paramref name="coverageFactor"/> is given.</param>
    /// <param name="coverageFactor">k, above zero; null: t of the effective degrees of freedom.</param>
    /// <param name="rule">What to do with a ν_eff that is no whole number.</param>
    /// <exception cref="ArgumentException">
    /// No component, a name twice or unknown, a pair twice, a number that is NaN or infinite, correlations that contradict each other.
    /// </exception>
    /// <exception cref="ArgumentOutOfRangeException">
    /// A coefficient outside −1 … 1, a probability out of range, k not above zero, more than <see cref="MostComponents"/>.
    /// </exception>
    public static BudgetResult Of(
        IReadOnlyList<BudgetComponent> components, IReadOnlyList<BudgetCorrelation>? correlations = null, double coverageProbability = 0.95,
        double? coverageFactor = null, DegreesRule rule = DegreesRule.NextLower)
    {
        var places = Places(components);
        CheckCoverage(coverageProbability, coverageFactor, rule);
        var pairs = Pairs(places, correlations ?? []);
        var scale = components.Max(c => Math.Abs(c.Contribution));
        if (scale == 0)
            return Nothing(components, "Every sensitivity is zero: the straight-line model says nothing of the uncertainty. Use the Monte Carlo method.");

        // Over the largest contribution, so that no square overflows or vanishes.
        double own = 0, together = 0;
        foreach (var component in components)
            own += Square(component.Contribution / scale);
        foreach (var (first, second, r) in pairs)
            together += 2 * r * (components[first].Contribution / scale) * (components[second].Contribution / scale);
        var variance = own + together;
        if (variance <= 1e-14 * own)
            return Nothing(components, "The correlated components cancel each other wholly: no uncertainty is left that the straight-line model could tell.");

        var combined = Guard.Finite(scale * Math.Sqrt(variance), "combined standard uncertainty");
        var lines = components.Select(c => new BudgetLine(c, Math.Abs(c.Contribution), Square(c.Contribution / scale) / variance)).ToImmutableArray();
        var effective = pairs.Count > 0 ? null : Effective(lines);
        var infinite = pairs.Count == 0 && effective is null;
        var result = new BudgetResult(
            lines, combined, effective, infinite, null, null, null, null, together / variance, components[Largest(components)].Name,
            pairs.Count > 0 ? NoDegrees + "." : null, null);
        if (coverageFactor is { } given)
            return result with { CoverageFactor = given, ExpandedUncertainty = Guard.Finite(given * combined, "expanded uncertainty") };
        if (pairs.Count > 0)
            return result with { Because = NoDegrees + "; without them there is no coverage factor for a probability: give k." };
        var (k, used) = Factor(coverageProbability, effective, rule);
        return result with
        {
            DegreesUsed = used, CoverageProbability = coverageProbability, CoverageFactor = k,
            ExpandedUncertainty = Guard.Finite(k * combined, "expanded uncertainty"),
        };
    }

    /// <summary>1/ν_eff = Σ share²/ν: the formula of Welch and Satterthwaite (JCGM 100:2008, G.2b).</summary>
    private static double? Effective(ImmutableArray<BudgetLine> lines)
    {
        double reciprocal = 0;
        var doubtful = false;
        foreach (var line in lines)
        {
            if (line.Component.DegreesOfFreedom is not { } degrees)
                continue;
            reciprocal += Square(line.VarianceShare) / degrees;
            doubtful = doubtful || line.VarianceShare > 0;
        }

        // A share too small to count in double precision leaves the result as good as known.
        return doubtful && 1 / reciprocal < 1e15 ? 1 / reciprocal : null;
    }

    private static (double Factor, double? Degrees) Factor(double probability, double? effective, DegreesRule rule)
    {
        if (effective is not { } degrees)
            return (Quantiles.TwoSided(probability), null);
        if (rule == DegreesRule.NextLower)
        {
            var whole = Math.Max(1, Math.Floor(Math.Round(degrees, 1, MidpointRounding.AwayFromZero)));
            return (Quantiles.TwoSided(probability, whole), whole);
        }

        var below = Math.Max(1, Math.Floor(degrees));
        double lower = Quantiles.TwoSided(probability, below), upper = Quantiles.TwoSided(probability, below + 1);
        return (lower + ((upper - lower) * Math.Max(0, degrees - below)), degrees);
    }

    private static Dictionary<string, int> Places(IReadOnlyList<BudgetComponent> components)
    {
        ArgumentNullException.ThrowIfNull(components);
        if (components.Count == 0)
            throw new ArgumentException("There is no component; a budget needs one or more.", nameof(components));
        if (components.Count > MostComponents)
            Guard.ThrowOutOfRange(components.Count, "number of components", $"at most {MostComponents}");
        var places = new Dictionary<string, int>(StringComparer.Ordinal);
        for (var i = 0; i < components.Count; i++)
        {
            ArgumentNullException.ThrowIfNull(components[i], nameof(components));
            if (!places.TryAdd(components[i].Name, i))
                throw new ArgumentException($"The component '{components[i].Name}' stands twice; each name must stand once.", nameof(components));
        }

        return places;
    }

    private static List<(int First, int Second, double R)> Pairs(Dictionary<string, int> places, IReadOnlyList<BudgetCorrelation> correlations)
    {
        var seen = new HashSet<(int, int)>();
        var pairs = new List<(int, int, double)>();
        var matrix = Matrix<double>.Build.DenseIdentity(correlations.Count > 0 ? places.Count : 1);
        foreach (var correlation in correlations)
        {
            ArgumentNullException.ThrowIfNull(correlation, nameof(correlations));
            var (first, second) = (Place(places, correlation.First), Place(places, correlation.Second));
            var pair = $"'{correlation.First}' and '{correlation.Second}'";
            if (first == second)
                throw new ArgumentException($"The correlation of '{correlation.First}' with itself is 1; a pair must name two components.",
                    nameof(correlations));
            if (!seen.Add((Math.Min(first, second), Math.Max(first, second))))
                throw new ArgumentException($"The correlation of {pair} stands twice; each pair must stand once.", nameof(correlations));
            if (Math.Abs(Guard.Finite(correlation.Coefficient, $"correlation of {pair}")) > 1)
                Guard.ThrowOutOfRange(correlation.Coefficient, $"correlation of {pair}", "from -1 to 1");
            matrix[first, second] = matrix[second, first] = correlation.Coefficient;
            if (correlation.Coefficient != 0)
                pairs.Add((first, second, correlation.Coefficient));
        }

        if (pairs.Count > 1)
            CheckTogether(matrix);
        return pairs;
    }

    /// <summary>No combination of the components may have a negative variance.</summary>
    private static void CheckTogether(Matrix<double> correlations)
    {
        var least = correlations.Evd(Symmetricity.Symmetric).EigenValues.Min(v => v.Real);
        if (least < LeastEigenvalue)
        {
            throw new ArgumentException(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"The correlations contradict each other: smallest eigenvalue of their matrix {least:G3}; it must be zero or more."),
                nameof(correlations));
        }
    }

    private static int Place(Dictionary<string, int> places, string name) =>
        places.TryGetValue(name?.Trim() ?? "", out var place)
            ? place
            : throw new ArgumentException($"A correlation names '{name}', which is no component; it must name one.", nameof(name));

    private static void CheckCoverage(double probability, double? factor, DegreesRule rule)
    {
        if (factor is { } given)
            Guard.FinitePositive(given, "coverage factor");
        if (Guard.Finite(probability, "coverage probability") is < SmallestProbability or > LargestProbability)
            Guard.ThrowOutOfRange(probability, "coverage probability", "from 0.5 to 0.9999");
        if (!Enum.IsDefined(rule))
            throw new ArgumentOutOfRangeException(nameof(rule), rule, "Not a rule for degrees of freedom.");
    }

    private static int Largest(IReadOnlyList<BudgetComponent> components)
    {
        var largest = 0;
        for (var i = 1; i < components.Count; i++)
        {
            if (Math.Abs(components[i].Contribution) > Math.Abs(components[largest].Contribution))
                largest = i;
        }

        return largest;
    }

    private static BudgetResult Nothing(IReadOnlyList<BudgetComponent> components, string sentence) => new(
        [.. components.Select(c => new BudgetLine(c, Math.Abs(c.Contribution), 0))], 0, null, false, null, null, null, null, 0,
        components[Largest(components)].Name, null, sentence);

    private static double Square(double value) => value * value;
}
