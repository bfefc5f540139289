using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Documents.Drawings;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.ReadyDates;
using BuildTrack.Records.ReadyDates;
using BuildTrack.Web.Sheets;

namespace BuildTrack.Web.Pages;

/// <summary>The planner's weeks on one sheet: each machine, and each work centre, with work and waiting as the likely ready dates place them.</summary>
public sealed class WeeksAheadModel(ReadyDateReader reader) : SheetPage
{
    /// <summary>How many weeks the sheet may show.</summary>
    public static ImmutableArray<int> Choices { get; } = [1, 2, 4, 8];

    private PlantPlanToday today = null!;
    private Dictionary<(string Serial, int Step), string?> waits = [];

    public PlantPlan Plan => today.Plan;

    public int Weeks { get; private set; } = 2;

    /// <summary>The number of weeks that was asked for is none of the choices.</summary>
    public string? BadWeeks { get; private set; }

    public string? Machines { get; private set; }

    public string? Centres { get; private set; }

    /// <summary>What the sheet shows, in words: by work centre, in the order of the begin.</summary>
    public ImmutableArray<(string Centre, ImmutableArray<PlacedStep> Steps)> Listed { get; private set; } = [];

    public string Moment(long minute) => Clock.Local(PlacedStep.Moment(minute)).ToString("ddd d MMM HH:mm", CultureInfo.InvariantCulture);

    /// <summary>What a step waits for after its work; null where it does not wait.</summary>
    public string? WaitOf(PlacedStep step) => step.Done > step.WorkDone ? waits[(step.Serial, step.Number)] ?? "waiting" : null;

    public async Task OnGet(string? weeks)
    {
        await Open();
        if (!string.IsNullOrWhiteSpace(weeks))
        {
            if (int.TryParse(weeks, NumberStyles.None, CultureInfo.InvariantCulture, out var asked) && Choices.Contains(asked))
            {
                Weeks = asked;
            }
            else
            {
                BadWeeks = weeks;
            }
        }

        today = await reader.Today(Cancel);
        waits = Plan.Machines.SelectMany(m => m.Steps.Select(s => (m.Serial, Step: s))).ToDictionary(s => (s.Serial, s.Step.Number), s => s.Step.Wait?.For);
        var from = Clock.Midnight(today.Today);
        var until = PlacedStep.Moment(Clock.Midnight(today.Today.AddDays(7 * Weeks)));
        var placed = Plan.Ahead(until);
        double Days(long minute) => (minute - from) / 1440.0;
        double OfMoment(Instant at) => Days(at.Microseconds / 60_000_000);

        IEnumerable<AheadBar> Bars(PlacedStep step, string work)
        {
            if (step.Start is { } start)
            {
                yield return new AheadBar(Days(start), Days(step.WorkDone), work, false);
            }

            if (WaitOf(step) is { } wait)
            {
                yield return new AheadBar(Days(step.WorkDone), Days(step.Done), wait, true);
            }
        }

        var ofMachine = placed.ToLookup(s => s.Serial, StringComparer.Ordinal);
        var dates = Plan.Dates.ToDictionary(d => d.Machine.Serial, StringComparer.Ordinal);
        var inOrder = Plan.Dates.Select(d => d.Machine).Concat(Plan.Machines.Where(m => !dates.ContainsKey(m.Serial)));
        AheadRow[] machines = [.. inOrder.Select(m =>
        {
            var date = dates.GetValueOrDefault(m.Serial);
            return new AheadRow(
                m.Serial, m.OnHold is null ? $"class {m.Class}" : $"class {m.Class}, on hold", [.. ofMachine[m.Serial].SelectMany(s => Bars(s, FormattableString.Invariant($"{s.Number}")))],
                date is null ? null : (OfMoment(date.Early), OfMoment(date.Likely), OfMoment(date.Late)),
                m.Promised is { } day && date is not null ? Days(Clock.Midnight(DateOnly.ParseExact(day, "yyyy-MM-dd", CultureInfo.InvariantCulture).AddDays(1))) : null);
        })];
        Listed = [.. placed.GroupBy(s => s.Centre).OrderBy(g => Plan.NameOf(g.Key), StringComparer.Ordinal).Select(g => (Plan.NameOf(g.Key), g.ToImmutableArray()))];
        AheadRow[] centres = [.. Listed.Select(c => new AheadRow(c.Centre, "", [.. c.Steps.SelectMany(s => Bars(s, s.Serial[^4..]))]))];

        Machines = Svg(machines, "Weeks ahead by machine: work as boxes with the number of their step, waiting as lengths between arrows", "machines");
        Centres = Svg(centres, "Weeks ahead by work centre: work as boxes with the end of the serial number, waiting as lengths between arrows", "centres");
        Name("Weeks ahead", "Planner's sheet", $"{machines.Length} machines");

        string? Svg(AheadRow[] rows, string title, string id) =>
            WeeksAheadChart.Of(rows, today.Today, OfMoment(today.Now), 7 * Weeks, title) is { } drawing ? SvgText.Of(drawing, id) : null;
    }
}
