using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Corrections;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Metrology.Corrections;
using BuildTrack.Records.Corrections;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>The next round of foot moves, what the feet do to each other, and the rounds that were done, predicted against measured.</summary>
public sealed class FeetModel(FootActs acts, FootReader feet) : SheetPage
{
    [BindProperty]
    public FeetForm Form { get; set; } = new();

    public MachineRecord Machine { get; private set; } = null!;

    public CharacteristicStanding Standing { get; private set; } = null!;

    public FootPlan? Plan { get; private set; }

    public BrokenRule? WhyNot { get; private set; }

    public FootGoal Goal { get; private set; }

    public FootReference Reference { get; private set; }

    public bool MayRecord => May(ActKind.MoveFeet);

    /// <summary>Rounds that were done, the last first, with what was measured afterwards.</summary>
    public ImmutableArray<(FootRoundMade Round, FootRoundShown? Shown)> Rounds => [.. Machine.FootRounds.Reverse().Select(r => (r, FootRounds.ShownOf(Machine, r)))];

    public Task<IActionResult> OnGet(string serial, string line, FootGoal goal, FootReference reference) => Show(serial, line, goal, reference);

    public Task<IActionResult> OnPost(string serial, string line, FootGoal goal, FootReference reference) => Act(
        () => acts.Record(Me, new RecordFeetRequest(
            serial, line, Form.Evaluation ?? "", goal, reference, [.. Form.Feet.Select((f, i) => new FootMoveTyped(f ?? "", Form.Moves.ElementAtOrDefault(i)))], Form.Note), Key, Cancel),
        _ => (UrlOf(serial, line, goal, reference), "The round is recorded. Measure the heights again: the next result shows what it did."),
        () => Show(serial, line, goal, reference));

    public static string UrlOf(string serial, string line, FootGoal goal, FootReference reference) =>
        $"{SheetSets.UrlOf(serial)}/results/{line}/feet?goal={goal}&reference={reference}";

    /// <summary>"+0.07": a height or move in mm.</summary>
    public static string Mm(double um, int decimals = 3) => (Math.Round(um / 1000, decimals) + 0.0).ToString(decimals == 2 ? "+0.00;−0.00;0.00" : "+0.000;−0.000;0.000", CultureInfo.InvariantCulture);

    public static string Plain(double um) => (um / 1000).ToString("0.000", CultureInfo.InvariantCulture) + " mm";

    /// <summary>"raise 0.07".</summary>
    public static string Move(double um) => um == 0 ? "leave" : $"{(um > 0 ? "raise" : "lower")} {Math.Abs(um / 1000).ToString("0.00", CultureInfo.InvariantCulture)}";

    private async Task<IActionResult> Show(string serial, string line, FootGoal goal, FootReference reference)
    {
        await Open();
        (Goal, Reference) = (Enum.IsDefined(goal) ? goal : FootGoal.RaiseToHighest, Enum.IsDefined(reference) ? reference : FootReference.Level);
        (Machine, Standing, Plan, WhyNot) = await feet.Plan(serial, line, Goal, Reference, Cancel);
        Name(Machine, "Foot moves", "Correction sheet", line, "–", Plan is null ? Standing.Word : "Calculated", $"{SheetSets.UrlOf(serial)}/results/{line}");
        return Page();
    }

    public sealed class FeetForm
    {
        public string? Evaluation { get; set; }

        /// <summary>Names of the feet, in order.</summary>
        public List<string?> Feet { get; set; } = [];

        /// <summary>What was typed for each.</summary>
        public List<string?> Moves { get; set; } = [];

        public string? Note { get; set; }
    }
}
