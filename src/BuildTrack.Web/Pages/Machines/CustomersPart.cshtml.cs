using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.Witnessing;
using BuildTrack.Records.Machines;
using BuildTrack.Records.People;
using BuildTrack.Records.Witnessing;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>The customer's part at the hold points of a machine: by the plan, by its contract, and setting it.</summary>
public sealed class CustomersPartModel(CustomersPointActs acts, MachineReader machines, PeopleReader everybody) : SheetPage
{
    [BindProperty]
    public CustomersPartForm Form { get; set; } = new();

    public MachineRecord Machine { get; private set; } = null!;

    public ImmutableArray<HoldPoint> Points { get; private set; } = [];

    public HoldPoint Review => AgreedAtReview.PointOf(Machine.Revision);

    /// <summary>It changes only by an approved revision.</summary>
    public bool Frozen => AgreedAtReview.IsFrozen(Machine);

    public bool MaySet => May(ActKind.SetCustomersPoints);

    /// <summary>Who could approve a revision.</summary>
    public ImmutableArray<PersonLine> Seconds { get; private set; } = [];

    /// <summary>What stands in the form for a hold point.</summary>
    public (string Part, string Notice) Of(HoldPoint hold)
    {
        var now = CustomersPoint.At(hold);
        return (Form.Part.GetValueOrDefault(hold.Id) ?? now.Part.ToString(), Form.Notice.TryGetValue(hold.Id, out var typed) ? typed ?? "" : hold.Witness is null ? "" : now.NoticeDays.ToString(CultureInfo.InvariantCulture));
    }

    public HoldPoint Planned(HoldPoint hold) => Machine.Plan.Holds.Single(h => h.Id == hold.Id);

    public bool Released(HoldPoint hold) => Machine.StandingOfHold(hold).Released is not null;

    public async Task<IActionResult> OnGet(string serial)
    {
        Form.AgreedWith = (await machines.Load(serial, Cancel)).CustomersPoints?.AgreedWith;
        return await Show(serial);
    }

    public Task<IActionResult> OnPostSet(string serial) => Act(
        async () => await acts.Set(Me, Form.ToRequest(await machines.Load(serial, Cancel)), Key, Cancel),
        _ => (Here(serial), $"The customer's part at the hold points of {serial} is recorded."), () => Show(serial));

    private async Task<IActionResult> Show(string serial)
    {
        await Open();
        Machine = await machines.Load(serial, Cancel);
        Points = CustomersPointRules.PointsOf(Machine);
        Seconds = Frozen && MaySet ? await ApprovalView.SecondsFor(this, everybody, ActKind.SetCustomersPoints, Cancel) : [];
        Name(Machine, "Customer's part", "Order sheet", "customer's part", "–",
            Machine.CustomersPoints is { Points.IsEmpty: false } now ? $"Revision {now.Revision}{(Frozen ? ", in force" : "")}" : "As in the plan", Here(serial));
        return Page();
    }

    private static string Here(string serial) => $"{SheetSets.UrlOf(serial)}/customers-part";

    /// <summary>What is typed into the form, by hold point.</summary>
    public sealed class CustomersPartForm : ApprovalForm
    {
        public long Version { get; set; }

        public Dictionary<string, string?> Part { get; set; } = [];

        public Dictionary<string, string?> Notice { get; set; } = [];

        public string? AgreedWith { get; set; }

        /// <summary>Only what differs from the plan is asked for; a hold point that was not sent stays as it is.</summary>
        public SetCustomersPointsRequest ToRequest(MachineRecord machine)
        {
            var (faults, points) = (new List<InputFault>(), CustomersPointRules.PointsOf(machine).Select(CustomersPoint.At).ToDictionary(p => p.Hold));
            foreach (var (hold, typed) in Part)
            {
                var days = 0;
                if (!Enum.GetNames<CustomersPart>().Contains(typed))
                {
                    faults.Add(new InputFault($"{hold}, customer's part", $"'{typed}'", $"one of {string.Join(", ", Enum.GetNames<CustomersPart>())}"));
                    continue;
                }

                var part = Enum.Parse<CustomersPart>(typed!);
                if (CustomersPoint.Invites(part) && !int.TryParse(Notice.GetValueOrDefault(hold)?.Trim(), NumberStyles.None, CultureInfo.InvariantCulture, out days))
                {
                    faults.Add(new InputFault($"{hold}, notice", $"'{Notice.GetValueOrDefault(hold)}'", "a whole number of working days"));
                }

                points[hold] = new CustomersPoint(hold, part, days);
            }

            var planned = machine.Plan.Holds.Select(CustomersPoint.At).ToHashSet();
            return faults.Count > 0 ? throw new BadInputException(faults)
                : new SetCustomersPointsRequest(machine.Serial, [.. points.Values.Where(p => !planned.Contains(p))], AgreedWith ?? "", Version, Approval);
        }
    }
}
