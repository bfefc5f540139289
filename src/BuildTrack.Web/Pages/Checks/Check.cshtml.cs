using System.Collections.Immutable;
using BuildTrack.Documents.Drawings;
using BuildTrack.Metrology.Statistics;
using BuildTrack.Records.CheckHistory;
using BuildTrack.Web.Sheets;

namespace BuildTrack.Web.Pages.Checks;

/// <summary>One check over the machines: individuals chart of shares of the limit, run rules, first-pass share.</summary>
public sealed class CheckModel(CheckHistoryReader history) : SheetPage
{
    public CheckOverMachines Of { get; private set; } = null!;

    public string? Svg { get; private set; }

    /// <summary>What the run rules notice, in sentences.</summary>
    public ImmutableArray<string> Noticed { get; private set; } = [];

    public async Task OnGet(string line)
    {
        await Open();
        Of = await history.Of(line, Cancel);
        var shares = Of.Machines.Where(m => m.Share is not null).Select(m => (m.Serial, m.Share!.Value)).ToList();
        Svg = SharesChart.Svg(shares, Of.Chart);
        Noticed = [.. (Of.Chart?.Signals ?? []).Select(s => $"At {s.Point} ({shares[s.Point - 1].Serial}): {Rule(s)}.")];
        Name(Of.Title, "Check over machines", $"{Of.FirstPass} of {Of.Machines.Length} accepted at first", "/checks");
    }

    /// <summary>A risk in percent; what is below a hundredth of one is said so.</summary>
    public static string Risk(double risk) => risk < 1e-4 ? "below 0.01 %" : FormattableString.Invariant($"{100 * risk:0.##} %");

    private static string Rule(ChartSignal signal) => signal.Rule switch
    {
        RunRule.BeyondThreeSigma => "beyond three standard deviations, a sudden large change",
        RunRule.TwoOfThreeBeyondTwoSigma => "two of three beyond two standard deviations on one side, a large shift",
        RunRule.FourOfFiveBeyondOneSigma => "four of five beyond one standard deviation on one side, a moderate shift",
        RunRule.EightOnOneSide => "eight in a row on one side of the mean, a small lasting shift",
        _ => signal.Rule.ToString(),
    };
}
