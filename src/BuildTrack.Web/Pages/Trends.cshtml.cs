using System.Globalization;
using BuildTrack.Documents.Drawings;
using BuildTrack.Domain.Trends;
using BuildTrack.Metrology.Statistics;
using BuildTrack.Records.Trends;
using BuildTrack.Web.Sheets;

namespace BuildTrack.Web.Pages;

/// <summary>How building goes over machines and months: first pass, hours, rework, nonconformances; each figure with the number it rests on.</summary>
public sealed class TrendsModel(TrendReader reader) : SheetPage
{
    public TrendReport Of { get; private set; } = null!;

    /// <summary>First pass by step; null where no machine has all results of a step.</summary>
    public string? FirstPass { get; private set; }

    /// <summary>Recorded hours against planned by step; null where no step has both.</summary>
    public string? Hours { get; private set; }

    /// <summary>First pass by month; null as above.</summary>
    public string? ByMonth { get; private set; }

    public static string Share(ProportionResult? share) => share is { } s ? FormattableString.Invariant($"{s.Count} of {s.Of}, {100 * s.Share:0} %") : "–";

    public static string Interval(ProportionResult? share) => share is { } s ? FormattableString.Invariant($"{100 * s.Low:0} to {100 * s.High:0} %") : "–";

    public static string Number(double? value, string format = "0.#") => value is { } v ? v.ToString(format, CultureInfo.InvariantCulture) : "–";

    public async Task OnGet()
    {
        await Open();
        Of = await reader.Read(Cancel);
        FirstPass = Svg(TrendCharts.Shares([.. Of.Steps.Where(s => s.FirstPass is not null).Select(s => ($"{s.Step}", s.FirstPass!))], "Share of machines with every result of the step accepted at first, with its 95 % interval"), "pass");
        Hours = Svg(TrendCharts.Hours([.. Of.Steps.Where(s => s.Hours is not null).Select(s => ($"{s.Step}", s.Hours!.Planned / s.Hours.Machines, s.Hours.Actual / s.Hours.Machines, s.Hours.Machines))], "Hours of work by step, mean of the machines: planned (ring) and recorded (bar)"), "hours");
        ByMonth = Svg(TrendCharts.Shares([.. Of.Months.Where(m => m.FirstPass is not null).TakeLast(24).Select(m => (m.Month[2..], m.FirstPass!))], "First pass by month over all steps, with its 95 % interval"), "months");
        Name("Trends", "Trends over machines", Of.Machines == 1 ? "1 machine" : FormattableString.Invariant($"{Of.Machines} machines"));
    }

    private static string? Svg(Drawing? drawing, string id) => drawing is null ? null : SvgText.Of(drawing, id);
}
