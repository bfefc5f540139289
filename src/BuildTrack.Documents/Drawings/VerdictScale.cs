using BuildTrack.Domain.Evaluating;

namespace BuildTrack.Documents.Drawings;

/// <summary>A result on its scale: double line where it is accepted, dashed where nothing is proven, hatched where it is rejected; a thick tick at the limit.</summary>
/// <remarks>The lines are those of the framed result words, so that a word and its place on the scale are known by the same sign, without colour.</remarks>
public static class VerdictScale
{
    private const double Width = 480, Left = 16, Right = 464, Line = 56;

    /// <summary>The scale of an evaluation; null while it has no bands.</summary>
    public static Drawing? Of(EvaluationRecord evaluation)
    {
        var result = evaluation.Result;
        if (result.AcceptBand is not { } accept || result.RejectBandAlone is not { } alone || (result.Upper ?? result.Lower) is not { } limit || (result.Upper is not null && result.Lower is not null))
        {
            return null;
        }

        // Measured again or not, the hatched part begins where this evidence would prove a rejection.
        var reject = result.AgainMean is not null ? result.RejectBandAgain ?? alone : alone;
        var upward = result.Upper is not null;
        double[] lines = upward ? [limit - accept, limit, limit + reject] : [limit - reject, limit, limit + accept];
        double[] shown = [.. lines, .. new[] { result.Value - result.ReachBelow, result.Value, result.Value + result.ReachAbove, result.AgainMean }.OfType<double>()];
        var span = Math.Max(shown.Max() - shown.Min(), 1e-9);
        var (low, high) = (shown.Min() - (0.22 * span), shown.Max() + (0.16 * span));
        if (upward && low < 0.45 * span)
        {
            low = 0;
        }

        var picture = new Scale(low, high, evaluation);
        return picture.Draw(lines, upward, upward && low > 0);
    }

    /// <summary>The scale as inline SVG; null while there are no bands.</summary>
    public static string? Svg(EvaluationRecord evaluation, string id = "scale") => Of(evaluation) is { } drawing ? SvgText.Of(drawing, id) : null;

    private sealed record Scale(double Low, double High, EvaluationRecord Evaluation)
    {
        private readonly List<Mark> marks = [];

        private double X(double value) => Left + ((value - Low) / (High - Low) * (Right - Left));

        private string Number(double value) => Shown.NumberInUnitOf(value, Evaluation.Input.Requirement);

        public Drawing Draw(double[] lines, bool upward, bool broken)
        {
            var (a, b) = (X(lines[0]), X(lines[2]));
            if (upward)
            {
                Double(Left, a, broken);
                Hatched(b, Right);
            }
            else
            {
                Hatched(Left, a);
                Double(b, Right, false);
            }

            marks.Add(new LineMark(a, Line, b, Line, Stroke.Dashed));
            marks.Add(new LineMark(a, Line - 9, a, Line + 9, Stroke.Thin));
            marks.Add(new LineMark(b, Line - 9, b, Line + 9, Stroke.Thin));
            marks.Add(new LineMark(X(lines[1]), Line - 13, X(lines[1]), Line + 13, Stroke.Thick));
            Numbers(lines, upward && Low == 0);
            Words(upward ? ("accepted", "rejected") : ("rejected", "accepted"), a, b);
            Result();
            var unit = Shown.UnitOf(Evaluation.Input.Requirement);
            return new Drawing(Width, Evaluation.Result.AgainMean is null ? 116 : 136, $"The result on its scale, in {unit}", Describe(lines, upward, unit), [.. marks]);
        }

        private void Double(double from, double to, bool broken)
        {
            foreach (var dy in new[] { -3.5, 3.5 })
            {
                marks.Add(new LineMark(from, Line + dy, to, Line + dy, Stroke.Mid));
            }

            if (broken)
            {
                marks.Add(new ShapeMark([(from + 13, Line - 10), (from + 19, Line - 10), (from + 13, Line + 10), (from + 7, Line + 10)], Ink.Full, Filled: false));
            }
        }

        private void Hatched(double from, double to)
        {
            marks.Add(new BoxMark(from, Line - 6, Math.Max(to - from, 1), 12, Stroke.Mid));
            marks.AddRange(Marks.Hatch(from, Line - 6, Math.Max(to - from, 1), 12));
        }

        /// <summary>Three numbers below their ticks, moved apart where they would touch.</summary>
        private void Numbers(double[] lines, bool zero)
        {
            var size = Drawing.Lettering;
            double Half(int i) => (Marks.WidthOf(Number(lines[i]), size) / 2) + 5;
            var at = Apart([X(lines[0]), X(lines[1]), X(lines[2])], [Half(0), Half(1), Half(2)]);
            for (var i = 0; i < 3; i++)
            {
                marks.Add(new TextMark(at[i], Line + 30, Number(lines[i]), size, Anchor.Middle, Bold: i == 1));
            }

            if (zero && at[0] - Half(0) > Left + 16)
            {
                marks.Add(new TextMark(Left, Line + 30, "0", size));
            }
        }

        private void Words((string First, string Last) words, double a, double b)
        {
            string[] texts = [words.First, "not proven", words.Last];
            var halves = texts.Select(t => (Marks.WidthOf(t, Drawing.SmallLettering) / 2) + 5).ToArray();
            var at = Apart([(Left + a) / 2, (a + b) / 2, (b + Right) / 2], halves);
            for (var i = 0; i < 3; i++)
            {
                marks.Add(new TextMark(at[i], Line + 52, texts[i], Drawing.SmallLettering, Anchor.Middle, Ink: Ink.Note));
            }
        }

        /// <summary>Three texts kept in order, apart from each other and on the sheet; the middle one gives way last.</summary>
        private static double[] Apart(double[] at, double[] halves)
        {
            at[1] = Math.Clamp(at[1], (2 * halves[0]) + halves[1], Width - (2 * halves[2]) - halves[1]);
            at[0] = Math.Clamp(at[0], halves[0], at[1] - halves[1] - halves[0]);
            at[2] = Math.Clamp(at[2], at[1] + halves[1] + halves[2], Width - halves[2]);
            return at;
        }

        private void Result()
        {
            var result = Evaluation.Result;
            if (result.Value is not { } value)
            {
                return;
            }

            var (x, from, to) = (X(value), X(value - (result.ReachBelow ?? 0)), X(value + (result.ReachAbove ?? 0)));

            // A reach larger than the value goes off the scale; no end is drawn where there is none.
            marks.Add(new LineMark(Math.Max(from, Left / 2), Line - 19, to, Line - 19, Stroke.Mid, Ink.Pencil));
            if (from >= Left / 2)
            {
                marks.Add(new LineMark(from, Line - 24, from, Line - 14, Stroke.Mid, Ink.Pencil));
            }

            marks.Add(new LineMark(to, Line - 24, to, Line - 14, Stroke.Mid, Ink.Pencil));
            marks.Add(new ShapeMark([(x - 5.5, Line - 20), (x + 5.5, Line - 20), (x, Line - 7)], Ink.Pencil));
            var text = Number(value);
            var half = Marks.WidthOf(text, 18) / 2;
            marks.Add(new TextMark(Math.Clamp(x, half, Width - half), Line - 28, text, 18, Anchor.Middle, Bold: true, Inclined: false, Ink: Ink.Pencil));
            if (result.AgainMean is { } again)
            {
                var at = X(again);
                marks.Add(new ShapeMark([(at - 5.5, Line + 19), (at + 5.5, Line + 19), (at, Line + 7)], Ink.Pencil, Filled: false));
                var words = $"measured again {Number(again)}";
                var wide = Marks.WidthOf(words, Drawing.SmallLettering) / 2;
                marks.Add(new TextMark(Math.Clamp(at, wide, Width - wide), Line + 57 + 15, words, Drawing.SmallLettering, Anchor.Middle, Inclined: false, Ink: Ink.Pencil));
                marks.Add(new LineMark(at, Line + 34, at, Line + 41, Stroke.Thin, Ink.Pencil));
            }
        }

        private string Describe(double[] lines, bool upward, string unit)
        {
            var result = Evaluation.Result;
            var place = upward
                ? $"accepted up to {Number(lines[0])}, limit {Number(lines[1])}, rejected above {Number(lines[2])}"
                : $"rejected below {Number(lines[0])}, limit {Number(lines[1])}, accepted from {Number(lines[2])}";
            var what = result.Value is { } value ? $"Result {Number(value)}; " : "";
            var again = result.AgainMean is { } mean ? $"; deciding places measured again {Number(mean)}" : "";
            return $"{what}{place}{again}; in {unit}.";
        }
    }
}
