using System.Collections.Immutable;
using BuildTrack.Domain.Machines;
using BuildTrack.Metrology.Verdicts;
using Microsoft.AspNetCore.Razor.TagHelpers;

namespace BuildTrack.Web.Sheets;

/// <summary>A calculated result: its word in the frame whose line tells it, headed "calculated".</summary>
[HtmlTargetElement("framed-word", TagStructure = TagStructure.WithoutEndTag)]
public sealed class FramedWordTagHelper : TagHelper
{
    public required CharacteristicStanding Of { get; set; }

    /// <summary>In a row of a table: no heading, small letters.</summary>
    public bool Small { get; set; }

    public override void Process(TagHelperContext context, TagHelperOutput output)
    {
        output.TagName = "span";
        output.TagMode = TagMode.StartTagAndEndTag;
        output.Attributes.SetAttribute("class", Small ? "framed framed--small" : "framed");
        if (!Small)
        {
            output.Content.AppendHtml($"<small>{(Of.Standing == Standing.Calculated ? "calculated" : "result")}</small>");
        }

        output.Content.AppendHtml(Frame(Of));
    }

    /// <summary>The word in its frame.</summary>
    internal static string Frame(CharacteristicStanding of)
    {
        var line = of.Standing switch
        {
            Standing.NotMeasured => "unmeasured",
            Standing.Incomplete => "unmeasured",
            Standing.ToBeRepeated => "stale",
            _ => LineOf(of.Evaluation!.Record.Result.Verdict!.Value),
        };
        return $"<strong class=\"stamp stamp--{line}\">{of.Word}</strong>";
    }

    private static string LineOf(Verdict verdict) => verdict switch
    {
        Verdict.Accepted => "accepted",
        Verdict.NotProven => "unproven",
        _ => "rejected",
    };
}

/// <summary>The results of a hold point in a row of a table: each word once, with how many there are of it; what is not accepted first.</summary>
[HtmlTargetElement("framed-words", TagStructure = TagStructure.WithoutEndTag)]
public sealed class FramedWordsTagHelper : TagHelper
{
    public required ImmutableArray<CharacteristicStanding> Of { get; set; }

    public override void Process(TagHelperContext context, TagHelperOutput output)
    {
        output.TagName = "span";
        output.TagMode = TagMode.StartTagAndEndTag;
        output.Attributes.SetAttribute("class", "framed-row");
        foreach (var group in Of.GroupBy(c => c.Word).OrderBy(g => g.First().Accepted))
        {
            output.Content.AppendHtml($"<span class=\"framed framed--small\">{FramedWordTagHelper.Frame(group.First())}</span>");
            if (Of.Length > 1)
            {
                output.Content.AppendHtml($"<span class=\"count\">{group.Count()} of {Of.Length}</span>");
            }
        }
    }
}

/// <summary>The stamp of a named person who released: only where that happened.</summary>
[HtmlTargetElement("release-stamp", TagStructure = TagStructure.WithoutEndTag)]
public sealed class ReleaseStampTagHelper : TagHelper
{
    public required HoldDecision Of { get; set; }

    public required string Name { get; set; }

    public required string At { get; set; }

    public override void Process(TagHelperContext context, TagHelperOutput output)
    {
        output.TagName = "span";
        output.TagMode = TagMode.StartTagAndEndTag;
        output.Attributes.SetAttribute("class", "signet");
        foreach (var (tag, text) in new[] { ("b", $"{Of.Hold} released"), ("span", Name), ("span", At), ("span", Of.For is { } acting ? FormattableString.Invariant($"delegation {acting.Delegation}") : ""), ("span", Of.ConfirmedBy is null ? "" : "in an emergency") }.Where(l => l.Item2.Length > 0))
        {
            output.Content.AppendHtml($"<{tag}>").Append(text).AppendHtml($"</{tag}>");
        }
    }
}

/// <summary>A number with its unit, as one word that does not break.</summary>
[HtmlTargetElement("measured", TagStructure = TagStructure.WithoutEndTag)]
public sealed class MeasuredTagHelper : TagHelper
{
    /// <summary>As the one formatter for calculated numbers wrote it: number, blank, unit.</summary>
    public required string Text { get; set; }

    public override void Process(TagHelperContext context, TagHelperOutput output)
    {
        var parts = Text.Split(' ', 2);
        output.TagName = "span";
        output.TagMode = TagMode.StartTagAndEndTag;
        output.Attributes.SetAttribute("class", "num");
        output.Content.Append(parts[0]);
        if (parts.Length == 2)
        {
            output.Content.AppendHtml("<span class=\"unit\">").Append(parts[1]).AppendHtml("</span>");
        }
    }
}

/// <summary>A field for a measured value: decimal keypad, comma or point, the instrument's own unit beside it, the typed text kept.</summary>
[HtmlTargetElement("measured-field", TagStructure = TagStructure.WithoutEndTag)]
public sealed class MeasuredFieldTagHelper : TagHelper
{
    public required string Name { get; set; }

    public required string Label { get; set; }

    public string? Typed { get; set; }

    public string? Unit { get; set; }

    /// <summary>In a table the row's head is the label.</summary>
    public bool InRow { get; set; }

    public override void Process(TagHelperContext context, TagHelperOutput output)
    {
        output.TagName = InRow ? "span" : "label";
        output.TagMode = TagMode.StartTagAndEndTag;
        output.Attributes.SetAttribute("class", "measured-field");
        if (!InRow)
        {
            output.Content.AppendHtml("<span>").Append(Label).AppendHtml("</span>");
        }

        var field = new Microsoft.AspNetCore.Mvc.Rendering.TagBuilder("input") { TagRenderMode = Microsoft.AspNetCore.Mvc.Rendering.TagRenderMode.SelfClosing };
        field.MergeAttributes(new Dictionary<string, string?>
        {
            ["type"] = "text", ["inputmode"] = "decimal", ["enterkeyhint"] = "next", ["autocomplete"] = "off", ["name"] = Name, ["value"] = Typed, ["maxlength"] = "40",
        });
        if (InRow)
        {
            field.MergeAttribute("aria-label", Label);
        }

        output.Content.AppendHtml(field);
        if (Unit is not null)
        {
            output.Content.AppendHtml("<span class=\"unit\">").Append(Unit).AppendHtml("</span>");
        }
    }
}
