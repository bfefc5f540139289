namespace BuildTrack.Web.Sheets;

/// <summary>The bed from above as a person stands before it, with the directions that every sign refers to.</summary>
/// <param name="Feature">The rail a level stands on, R1 or R2.</param>
/// <param name="Level">A level or mirror carriage is stepped along it.</param>
public sealed record AxesPicture(string? Feature, bool Level)
{
    /// <summary>The same in words.</summary>
    public string Says => "The bed from above, operator's end at the left: R1 in front, R2 behind; plus X leads away from the operator, plus Y from R1 to R2, to the left of who looks along X."
        + (Level ? $" The level stands on {Feature ?? "R1"}, its arrow toward plus X." : "");

    /// <summary>What is written in the picture, as elements of SVG; nothing of it comes from a person.</summary>
    public string Lettering => string.Concat(new (int X, int Y, string Text)[]
    {
        (198, 169, "+X, away from the operator's end"), (34, 64, "+Y"), (598, 123, "R1"), (598, 49, "R2"), (34, 96, "operator"),
        (196, Feature == "R2" ? 34 : 108, Level ? "arrow toward +X: plus is a rise away from the operator" : ""),
    }.Where(t => t.Text.Length > 0).Select(t => FormattableString.Invariant($"<text x=\"{t.X}\" y=\"{t.Y}\">{t.Text}</text>")));
}
