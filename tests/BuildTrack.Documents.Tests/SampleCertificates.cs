using System.Collections.Immutable;
using BuildTrack.Documents.Certificates;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Certificates;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Nonconformances;

namespace BuildTrack.Documents.Tests;

/// <summary>Certificates of the sample beds, sealed with a key made once for all tests.</summary>
internal static class SampleCertificates
{
    private static readonly Lazy<PlantKey> LazyKey = new(() =>
        PlantKey.LoadOrCreate(Directory.CreateTempSubdirectory("plant-key").FullName, "Ostrel Vale Machine Works", TimeProvider.System));

    public static PlantKey Key => LazyKey.Value;

    public static CertificatePdf Renderer { get; } = new(Key);

    private static readonly Lazy<string> LazyText = new(() => CanonicalJson.Of(Of(Samples.MiddleBed(), Samples.Pads())));

    private static readonly Lazy<byte[]> LazyPdf = new(() => Renderer.Render(Text));

    /// <summary>Canonical text of the ordinary sample.</summary>
    public static string Text => LazyText.Value;

    /// <summary>The ordinary sample, sealed.</summary>
    public static byte[] Pdf => [.. LazyPdf.Value];

    public static CertificateRecord Of(params EvaluationRecord[] evaluations)
    {
        var issued = Instant.Parse("2026-11-25T10:12:44.120000Z");
        var time = new PlantTime("Europe/Vienna");
        var first = evaluations[0].Input;
        return new CertificateRecord(
            CertificateRecord.CurrentFormat, "OVC-2026-0031", 1, "bed", "Bed geometry, cold", new Plant("Ostrel Vale Machine Works", "OVC", "Europe/Vienna"), issued,
            time.Long(issued), null, new CertifiedMachine(first.Serial, first.Model, "flat bed, exchange table", "B", "Corvane Rail Parts", 4000, 1750),
            new ApprovedLimits("B", CanonicalJson.Hash("limits"), "pthornwell", "2 Nov 2026 08:15"),
            [.. evaluations.Select(e => CertifiedResult.Of(e.Input.Characteristic.Line, e.Input.Characteristic.Title, e.Hash, e))],
            [new CertifiedRelease("H1", "Bed geometry, cold", "mostley", issued, time.Short(issued), "sheet 100-01")],
            People, [new ReplacedMeasurement("100-bed", "Bed, level of the rail pads", 1, "19 Nov 2026 06:10", "foot 4 moved after the first measurement", ["jpell", "rtallworth"])],
            new HistoryCheckpoint(1842, CanonicalJson.Hash("history")), Key.Fingerprint);
    }

    /// <summary>The rejected big bed, released under a concession of its value, with two open items of the punch list.</summary>
    public static CertificateRecord Conceded()
    {
        var bed = Samples.BigBed(true);
        var failed = FailedResult.Of(new StoredEvaluation(1, bed.Input.Characteristic.Line, bed.Hash, Samples.Begun, bed))!;
        return Of(bed) with
        {
            Concessions =
            [
                new CertifiedConcession(
                    "CON-0007", "NCR-0052", "use under concession", failed.Required, failed.Found, failed, "rails are shimmed at R1-08 and R2-22; this machine only",
                    [new CertifiedApproval("mostley", "inspector", "24 Nov 2026 08:00:00 +01:00"), new CertifiedApproval("pthornwell", "administrator", "24 Nov 2026 09:10:00 +01:00")],
                    new CertifiedConsent("Hollis Brandt-Leigh", "BF 2026/118", "mostley", "24 Nov 2026 10:00:00 +01:00")),
            ],
            OpenPunch = [new CertifiedPunchItem(3, "C", "type plate is not riveted", "bexley.orme", "2026-12-04"), new CertifiedPunchItem(5, "B", "cable chain rubs at 5.9 m", "the chain maker", "2026-12-18")],
        };
    }

    private static ImmutableSortedDictionary<string, CertifiedPerson> People { get; } = new Dictionary<string, CertifiedPerson>
    {
        ["bexley.orme"] = new("Bexley Orme", "technician"), ["jpell"] = new("Jorin Pell", "technician"), ["mostley"] = new("Maren Ostley", "inspector"),
        ["pthornwell"] = new("Pavel Thornwell", "approver"), ["rtallworth"] = new("Renna Tallworth", "technician"),
    }.ToImmutableSortedDictionary(StringComparer.Ordinal);
}
