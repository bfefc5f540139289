using BuildTrack.Documents.Drawings;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Evaluating;
using Xunit;

namespace BuildTrack.Documents.Tests;

/// <summary>Writes every kind of picture and certificate for looking at; BUILDTRACK_GALLERY names the folder.</summary>
public class Gallery
{
    private static readonly Lazy<(string Name, EvaluationRecord Evaluation)[]> Lazy = new(() =>
    [
        ("16-accepted", Samples.SmallBed()), ("34-accepted", Samples.MiddleBed()), ("58-not-proven", Samples.BigBed(false)),
        ("58-rejected", Samples.BigBed(true)), ("58-pads", Samples.Pads()), ("grid", Samples.Field(Samples.Grid, "0.030")),
    ]);

    /// <summary>Calculated once: the reaches are simulated.</summary>
    public static IEnumerable<(string Name, EvaluationRecord Evaluation)> All() => Lazy.Value;

    [Fact]
    public void Pictures_are_written_for_looking_at()
    {
        var folder = Environment.GetEnvironmentVariable("BUILDTRACK_GALLERY") is { Length: > 0 } named ? named : Directory.CreateTempSubdirectory("gallery").FullName;
        File.WriteAllBytes(Path.Combine(folder, "accepted.pdf"), SampleCertificates.Pdf);
        File.WriteAllBytes(Path.Combine(folder, "rejected.pdf"), SampleCertificates.Renderer.Render(CanonicalJson.Of(SampleCertificates.Of(Samples.BigBed(true), Samples.Pads()))));
        foreach (var (name, evaluation) in All())
        {
            var style = "<style>body{margin:0;padding:20px;background:#f4f5f0;color:#15191b;--paper:#f4f5f0;--ink-2:#464d50;--rule-soft:#cfd3cc;--pencil:#55268e;width:960px}svg{display:block}</style>";
            var turned = string.Concat(new[] { 0, 30, 120, 255 }.Select(t => DeviationMap.Of(evaluation, t)!.Svg($"turned-{t}")));
            File.WriteAllText(Path.Combine(folder, name + ".html"), $"<!doctype html><meta charset=utf-8>{style}{DeviationMap.Of(evaluation)!.Svg()}<div style='width:480px'>{VerdictScale.Svg(evaluation)}</div>{turned}");
            Assert.True(new FileInfo(Path.Combine(folder, name + ".html")).Length > 5000, name);
        }
    }
}
