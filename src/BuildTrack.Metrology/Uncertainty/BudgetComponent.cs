namespace BuildTrack.Metrology.Uncertainty;

/// <summary>How an uncertainty was found (JCGM 100:2008, 4.2 and 4.3).</summary>
public enum EvaluationType
{
    /// <summary>By statistics of repeated readings; it has degrees of freedom.</summary>
    A,

    /// <summary>By other knowledge: certificate, specification, experience.</summary>
    B,
}

/// <summary>What is known of a quantity between two bounds (JCGM 100:2008, 4.3.7 and 4.3.9; JCGM 101:2008, 6.4).</summary>
public enum BoundedShape
{
    /// <summary>Anywhere between them alike: u = a/√3.</summary>
    Rectangular,

    /// <summary>The middle likelier than the ends: u = a/√6.</summary>
    Triangular,

    /// <summary>The ends likelier than the middle, as of something that swings like a sine: u = a/√2.</summary>
    UShaped,
}

/// <summary>One line of an uncertainty budget.</summary>
/// <remarks>Sensitivity: unit of the result over unit of the component. Formulas and sources: docs/method/uncertainty.md.</remarks>
public sealed record BudgetComponent
{
    private BudgetComponent(string name, double standardUncertainty, double sensitivity, double? degreesOfFreedom, EvaluationType type, string unit)
    {
        if (string.IsNullOrWhiteSpace(name))
            throw new ArgumentException("A component has no name; each needs one.", nameof(name));
        ArgumentNullException.ThrowIfNull(unit);
        if (!Enum.IsDefined(type))
            throw new ArgumentOutOfRangeException(nameof(type), type, $"The type of '{name}' must be A or B.");
        if (type == EvaluationType.A && degreesOfFreedom is null)
            throw new ArgumentException($"'{name}' is of type A without degrees of freedom; they must be given (readings less one, as a rule).", nameof(type));
        if (degreesOfFreedom is { } given && !double.IsPositiveInfinity(given) && Guard.Finite(given, $"degrees of freedom of '{name}'") < 1)
            Guard.ThrowOutOfRange(given, $"degrees of freedom of '{name}'", "1 or more, or infinite");
        Name = name.Trim();
        StandardUncertainty = Guard.FinitePositive(standardUncertainty, $"standard uncertainty of '{name}'");
        Sensitivity = Guard.Finite(sensitivity, $"sensitivity of '{name}'");
        DegreesOfFreedom = degreesOfFreedom is { } known && double.IsPositiveInfinity(known) ? null : degreesOfFreedom;
        Type = type;
        Unit = unit.Trim();
        Contribution = Guard.Finite(sensitivity * standardUncertainty, $"contribution of '{name}'");
    }

    /// <summary>What the component is called; one name once in a budget.</summary>
    public string Name { get; }

    /// <summary>u, unit of the component.</summary>
    public double StandardUncertainty { get; }

    /// <summary>c, change of the result for a change of the component, unit of the result over unit of the component.</summary>
    public double Sensitivity { get; }

    /// <summary>ν; null: infinite, u is known without doubt. Dimensionless.</summary>
    public double? DegreesOfFreedom { get; }

    /// <summary>A or B.</summary>
    public EvaluationType Type { get; }

    /// <summary>Unit of the component as the user writes it; nothing is converted by it.</summary>
    public string Unit { get; }

    /// <summary>c u with the sign of the sensitivity, unit of the result.</summary>
    public double Contribution { get; }

    /// <summary>A component whose standard uncertainty is known.</summary>
    /// <param name="name">Its name.</param>
    /// <param name="standardUncertainty">u, above zero, unit of the component.</param>
    /// <param name="sensitivity">c, unit of the result over unit of the component.</param>
    /// <param name="degreesOfFreedom">ν, 1 or more, dimensionless; null: infinite, for type B only.</param>
    /// <param name="type">A or B.</param>
    /// <param name="unit">Unit of the component, for the reader.</param>
    /// <exception cref="ArgumentException">A number is NaN or infinite (but ν), no name, type A without ν.</exception>
    /// <exception cref="ArgumentOutOfRangeException">u not above zero, ν below one.</exception>
    public static BudgetComponent OfStandard(
        string name, double standardUncertainty, double sensitivity = 1, double? degreesOfFreedom = null, EvaluationType type = EvaluationType.B,
        string unit = "") =>
        new(name, standardUncertainty, sensitivity, degreesOfFreedom, type, unit);

    /// <summary>A component whose expanded uncertainty is known, from a certificate as a rule: u = U/k.</summary>
    /// <param name="expandedUncertainty">U, above zero, unit of the component.</param>
    /// <param name="k">Coverage factor of U, above zero.</param>
    /// <param name="sensitivity">c, unit of the result over unit of the component.</param>
    /// <inheritdoc cref="OfStandard"/>
    public static BudgetComponent OfExpanded(
        string name, double expandedUncertainty, double k, double sensitivity = 1, double? degreesOfFreedom = null, EvaluationType type = EvaluationType.B,
        string unit = "") =>
        new(name, Guard.FinitePositive(expandedUncertainty, $"U of '{name}'") / Guard.FinitePositive(k, $"k of '{name}'"), sensitivity, degreesOfFreedom,
            type, unit);

    /// <summary>A component known to lie between two bounds: u = a/√3, a/√6 or a/√2.</summary>
    /// <param name="halfWidth">a, half the distance of the bounds, above zero, unit of the component.</param>
    /// <param name="shape">What is known between them.</param>
    /// <param name="sensitivity">c, unit of the result over unit of the component.</param>
    /// <inheritdoc cref="OfStandard"/>
    public static BudgetComponent OfHalfWidth(
        string name, double halfWidth, BoundedShape shape, double sensitivity = 1, double? degreesOfFreedom = null, EvaluationType type = EvaluationType.B,
        string unit = "") =>
        new(name, Guard.FinitePositive(halfWidth, $"half-width of '{name}'") / Divisor(shape, name), sensitivity, degreesOfFreedom, type, unit);

    private static double Divisor(BoundedShape shape, string name) => shape switch
    {
        BoundedShape.Rectangular => Math.Sqrt(3),
        BoundedShape.Triangular => Math.Sqrt(6),
        BoundedShape.UShaped => Math.Sqrt(2),
        _ => throw new ArgumentOutOfRangeException(nameof(shape), shape, $"The distribution of '{name}' must be rectangular, triangular or U-shaped."),
    };
}
