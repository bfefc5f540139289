using System.Text.Encodings.Web;
using System.Text.RegularExpressions;
using Microsoft.AspNetCore.Html;
using Microsoft.AspNetCore.Razor.TagHelpers;

namespace BuildTrack.Web.Sheets;

/// <summary>A table in a region of its own: where the window is narrower than the table, the table scrolls and the sheet does not.
/// The region takes the focus, so that the arrow keys scroll it; the script takes it out of the row of stops while nothing is cut off.</summary>
[HtmlTargetElement("table")]
public sealed partial class WideTableTagHelper : TagHelper
{
    /// <summary>False where something around the table scrolls already.</summary>
    public bool Region { get; set; } = true;

    /// <summary>What the region is called where the table has no caption.</summary>
    public string? Label { get; set; }

    public override async Task ProcessAsync(TagHelperContext context, TagHelperOutput output)
    {
        // The readings of the measuring sheet stand beside its keys and are three lines long.
        if (!Region || context.AllAttributes["class"]?.Value?.ToString() == "readings")
        {
            return;
        }

        var content = (await output.GetChildContentAsync()).GetContent();
        var caption = Caption().Match(content);
        // Written as text already; only what the markup itself leaves open is closed.
        var label = Blanks().Replace(Tag().Replace(caption.Groups[1].Value.Replace("</b>", " ", StringComparison.Ordinal), ""), " ").Trim().Replace("\"", "&quot;", StringComparison.Ordinal);
        output.PreElement.AppendHtml("<div class=\"wide\" role=\"region\" tabindex=\"0\" aria-label=\"").AppendHtml(new HtmlString(label.Length > 0 ? label : HtmlEncoder.Default.Encode(Label ?? "Table"))).AppendHtml("\">");
        output.PostElement.AppendHtml("</div>");
    }

    [GeneratedRegex("<caption[^>]*>(.*?)</caption>", RegexOptions.Singleline)]
    private static partial Regex Caption();

    [GeneratedRegex("<[^>]*>")]
    private static partial Regex Tag();

    [GeneratedRegex(@"\s+")]
    private static partial Regex Blanks();
}
