using BuildTrack.Documents.Drawings;
using BuildTrack.Domain.Codes;
using Microsoft.AspNetCore.Razor.TagHelpers;

namespace BuildTrack.Web.Sheets;

/// <summary>A code as a picture: black squares on white, drawn by the server, with its quiet zone.</summary>
[HtmlTargetElement("qr-code", TagStructure = TagStructure.WithoutEndTag)]
public sealed class QrCodeTagHelper : TagHelper
{
    public required PaperCode Of { get; set; }

    public override void Process(TagHelperContext context, TagHelperOutput output)
    {
        var squares = QrSquares.Of(Of.Text);
        output.TagName = "svg";
        output.TagMode = TagMode.StartTagAndEndTag;
        output.Attributes.SetAttribute("class", "qr");
        output.Attributes.SetAttribute("viewBox", FormattableString.Invariant($"0 0 {squares.Side} {squares.Side}"));
        output.Attributes.SetAttribute("shape-rendering", "crispEdges");
        output.Attributes.SetAttribute("role", "img");
        output.Attributes.SetAttribute("aria-label", $"Code of {Of.Says}");
        output.Content.SetHtmlContent($"<path d=\"{squares.Path}\"/>");
    }
}
