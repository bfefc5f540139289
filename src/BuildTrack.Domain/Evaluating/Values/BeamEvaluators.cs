using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;
using BuildTrack.Metrology.Commissioning;

namespace BuildTrack.Domain.Evaluating.Values;

/// <summary>Diameter of the focus, from the caustic of the beam, as a part of what the model's data sheet says.</summary>
/// <remarks>
/// Method: docs/method/commissioning.md, section 4. Of a plane the diameter counts that has the mean of the squares along X and Y (ISO 11146-1). The limits are in per cent of the model's figure.
/// What the profiler is off by as a whole is in every plane alike, and in the waist in full.
/// </remarks>
public sealed class FocusDiameterEvaluator : IEvaluator
{
    public string Kind => "focus-diameter";

    public ImmutableArray<EvaluatorSource> Sources { get; } = [.. ReadCaustic.Readings, new EvaluatorSource("rated", ["focus-diameter"], Kind: SourceKind.Figure)];

    public ImmutableArray<string> References { get; } = [];

    public LimitSide Limit => LimitSide.Either;

    public string? Unit => "%";

    public int FewestStations => BeamCaustic.FewestPlanes;

    public EvaluationResult Evaluate(EvaluationInput input)
    {
        ArgumentNullException.ThrowIfNull(input);
        var rated = input.Sources["rated"].Figure!.Calculated;
        var (read, lacking) = ReadCaustic.Of(input);
        if (read is null)
        {
            return lacking!;
        }

        if (rated <= 0)
        {
            return EvaluationResult.Without(
                ResultState.Incomplete, "%", $"model {input.Model} has no focus diameter", new NextAction(NextKind.MendConditions, "State in the checklists what the data sheet of the model's cutting head says.", []));
        }

        var (waist, defect) = read.Waist("the beam", [.. read.AlongX.Zip(read.AlongY, (x, y) => Math.Sqrt(((x * x) + (y * y)) / 2))]);
        if (waist is null)
        {
            return read.Without(defect!);
        }

        var (beam, percent) = (waist.Beam, 100 * waist.Beam.WaistDiameterUm / rated);
        var view = ReadCaustic.View([waist], waist.Sigma * percent, waist.CommonInFull * percent);
        ImmutableArray<Candidate> candidates =
        [
            .. new[] { (Limit: input.Requirement.Upper, Upward: true), (Limit: input.Requirement.Lower, Upward: false) }.Where(l => l.Limit is not null)
                .Select(l => new Candidate("whole", "diameter of the focus", percent, [], [], l.Limit!.Calculated, l.Upward, view)),
        ];
        var result = WorstValue.Of(
            input, candidates, "%", read.Survey,
            [
                new Figure("diameter of the focus", beam.WaistDiameterUm, "µm"), new Figure("rated", rated, "µm"), new Figure("waist less focus set-point", 1000 * beam.WaistPositionMm, "µm"),
                new Figure("Rayleigh length", 1000 * beam.RayleighMm, "µm"), new Figure("planes within one Rayleigh length", beam.WithinRayleigh, "1"),
                new Figure("beam parameter product", beam.BeamParameterMmMrad, "mm·mrad"), new Figure("scatter of the planes about the fit", 100 * beam.ScatterShare, "%"),
            ],
            noAgain: ReadCaustic.NoAgain);
        return result with { Deviations = [.. read.Planes.Zip(beam.Departures, (plane, share) => new Deviation(plane, 100 * share))] };
    }
}

/// <summary>Symmetry of the focus: the smaller over the larger of the waist diameters along X and Y.</summary>
/// <remarks>Method: docs/method/commissioning.md, section 4. The scale of a profiler that read both goes out of the quotient; the random parts do not.</remarks>
public sealed class FocusSymmetryEvaluator : IEvaluator
{
    public string Kind => "focus-symmetry";

    public ImmutableArray<EvaluatorSource> Sources => ReadCaustic.Readings;

    public ImmutableArray<string> References { get; } = [];

    public LimitSide Limit => LimitSide.Lower;

    public string? Unit => "%";

    public int FewestStations => BeamCaustic.FewestPlanes;

    public EvaluationResult Evaluate(EvaluationInput input)
    {
        ArgumentNullException.ThrowIfNull(input);
        var limit = (input.Requirement.Lower ?? throw new ArgumentException($"{input.Characteristic.Line}: focus-symmetry needs a lower limit in %.")).Calculated;
        var (read, lacking) = ReadCaustic.Of(input);
        if (read is null)
        {
            return lacking!;
        }

        var (x, noX) = read.Waist("along X", read.AlongX);
        var (y, noY) = read.Waist("along Y", read.AlongY);
        if (x is null || y is null)
        {
            return read.Without((noX ?? noY)!);
        }

        var (ofX, ofY) = (x.Beam.WaistDiameterUm, y.Beam.WaistDiameterUm);
        var percent = 100 * Math.Min(ofX, ofY) / Math.Max(ofX, ofY);
        var common = (read.OneSetUp ? Math.Abs(x.Common - y.Common) : Math.Abs(x.Common) + Math.Abs(y.Common)) + x.Rounding + y.Rounding;
        var view = ReadCaustic.View([x, y], Math.Sqrt((x.Sigma * x.Sigma) + (y.Sigma * y.Sigma)) * percent, common * percent);
        // Which of the two is the smaller is chosen by their noise.
        return WorstValue.Of(
            input, [new Candidate("whole", "symmetry of the focus", percent, [], [], limit, false, view)], "%", read.Survey,
            [
                new Figure("diameter along X", ofX, "µm"), new Figure("diameter along Y", ofY, "µm"),
                new Figure("waist along X less that along Y", 1000 * (x.Beam.WaistPositionMm - y.Beam.WaistPositionMm), "µm"),
            ],
            signed: false, noAgain: ReadCaustic.NoAgain);
    }
}

/// <summary>The diameters of a beam as they were read along X and Y, plane by plane.</summary>
/// <param name="X">Source of the readings along X.</param>
/// <param name="Y">The same along Y.</param>
/// <param name="AlongX">Mean of the counted passes at every plane, µm.</param>
/// <param name="AlongY">The same along Y.</param>
internal sealed record ReadCaustic(EvaluationInput Input, SurveySource X, SurveySource Y, double[] AlongX, double[] AlongY)
{
    public const string NoAgain = "look at window, lens, collimator and fibre end with the laser off and locked, record that work, and take the caustic anew";

    /// <summary>Fewest planes within one Rayleigh length of the waist; half of them should be (ISO 11146-1). Common practice, no source.</summary>
    private const int FewestWithin = 4;

    public static ImmutableArray<EvaluatorSource> Readings { get; } = [new EvaluatorSource("along-x", ["beam-diameter"]), new EvaluatorSource("along-y", ["beam-diameter"])];

    public string Survey => X.Survey;

    public IEnumerable<string> Planes => X.Stations.Select(s => s.Id);

    /// <summary>Both columns were read in one go, so that what the profiler is off by as a whole is in both.</summary>
    public bool OneSetUp => X.Measurement == Y.Measurement;

    /// <summary>The readings, or the answer while there are none that could be those of a beam.</summary>
    public static (ReadCaustic? Read, EvaluationResult? Lacking) Of(EvaluationInput input)
    {
        var (x, y) = (MeasuredValues.Of(input, "along-x"), MeasuredValues.Of(input, "along-y"));
        if (MeasuredValues.Lacking(input, "%", x, y) is { } lacking)
        {
            return (null, lacking);
        }

        var read = new ReadCaustic(input, x.Values[0].Source, y.Values[0].Source, [.. x.Values.Select(v => v.Mean)], [.. y.Values.Select(v => v.Mean)]);
        foreach (var (value, along) in x.Values.Select(v => (v, "X")).Concat(y.Values.Select(v => (v, "Y"))))
        {
            if (value.Mean is not (>= BeamCaustic.SmallestUm and <= BeamCaustic.Largest))
            {
                return (null, read.Without(FormattableString.Invariant($"{value.Label} along {along}: found {value.Mean:0.###} µm, expected a diameter above 0 µm, at most 1 m")));
            }
        }

        return (read, x.Values.Length == y.Values.Length ? null : read.Without("the planes along X are not those along Y"));
    }

    public EvaluationResult Without(string because) =>
        EvaluationResult.Without(ResultState.Incomplete, "%", because, new NextAction(NextKind.Record, $"Correct the readings of survey {Survey}, or take the caustic anew.", []));

    /// <summary>The waist of these diameters with its uncertainty, or why there is none.</summary>
    public (Waist? Waist, string? Defect) Waist(string name, double[] diameters)
    {
        var beam = BeamCaustic.Of([.. X.Stations.Select(s => s.XMm)], diameters);
        if (beam.DefectSentence is { } defect)
        {
            return (null, $"{name}: {char.ToLowerInvariant(defect[0])}{defect[1..].TrimEnd('.')}");
        }

        // U of a profiler is a share of the width: the register is asked at every plane for the width there, as for a length.
        RegisterView[] views = [.. diameters.Select(d => RegisterView.Worst(new[] { X, Y }.Select(s => RegisterView.Of(Input, s, s.CountedPasses, "absolute", d / 1000))))];
        double[] Shares(Func<RegisterView, double> of) => [.. views.Select((v, i) => of(v) / diameters[i])];
        var random = beam.WaistShare(Shares(v => v.Sigma / Math.Sqrt(X.PassesPlanned)));
        var scatter = LeftOut ? 0 : beam.WaistShare([.. diameters.Select(_ => beam.ScatterShare)]);
        var shared = Shares(v => v.Common - (v.Digit / 2)).Zip(beam.Weights, (c, w) => c * w).Sum();
        var rounding = Shares(v => v.Digit / 2).Zip(beam.Weights, (c, w) => c * Math.Abs(w)).Sum();
        ImmutableArray<string> faults = beam.WithinRayleigh >= FewestWithin && beam.BeforeRayleigh > 0 && beam.BeyondRayleigh > 0 ? [] :
        [
            FormattableString.Invariant($"{name}: {beam.WithinRayleigh} of {beam.Planes} planes lie within one Rayleigh length ({beam.RayleighMm:0.00} mm) of the waist at {beam.WaistPositionMm:0.00} mm, {beam.BeforeRayleigh} before and {beam.BeyondRayleigh} behind it; ")
            + "half of them within and some to either side are needed: at least 4, 1 and 1",
        ];
        return (new Waist(beam, RegisterView.Worst(views), Math.Max(random, scatter), shared, rounding, scatter > random ? beam.Planes - 3 : null, faults), null);
    }

    /// <summary>The view of a result in per cent, with what stands against the waists it is made of.</summary>
    public static RegisterView View(ImmutableArray<Waist> waists, double sigma, double common)
    {
        var view = RegisterView.Worst(waists.Select(w => w.Register));
        foreach (var degrees in waists.Select(w => w.Degrees).OfType<double>())
        {
            view = view.AtMost(degrees);
        }

        return view.Of(sigma, common) with { Faults = [.. view.Faults, .. waists.SelectMany(w => w.Faults)] };
    }

    // What the random part gives is asked by leaving it out: what the planes scatter by is the same part, as it was seen.
    private bool LeftOut => X.CountedPasses.SelectMany(r => r.Instruments).Any(i => i.Figures.Any(f => f.NoRandomPart));
}

/// <summary>A waist with its uncertainty; all parts as shares of its diameter.</summary>
/// <param name="Sigma">Standard uncertainty: what the register says of single readings, or what the planes scatter by about the fit, whichever is more.</param>
/// <param name="Common">What all planes share, with its sign as if every plane were read too wide.</param>
/// <param name="Rounding">What a digit too coarse for the fit to average can add.</param>
/// <param name="Degrees">Degrees of freedom of <paramref name="Sigma"/> where the scatter is more; else null.</param>
/// <param name="Faults">Planes that prove nothing where they lie.</param>
internal sealed record Waist(CausticResult Beam, RegisterView Register, double Sigma, double Common, double Rounding, double? Degrees, ImmutableArray<string> Faults)
{
    public double CommonInFull => Math.Abs(Common) + Rounding;
}
