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
    public (CustomersPart Part, string Notice) Of(HoldPoint hold)
    {
        var i = Form.Hold.IndexOf(hold.Id);
        return i >= 0 && i < Form.Part.Count && i < Form.Notice.Count
            ? (Form.Part[i], Form.Notice[i] ?? "")
            : (CustomersPoint.PartAt(hold), hold.Witness?.NoticeDays.ToString(CultureInfo.InvariantCulture) ?? "");
    }

    public HoldPoint Planned(HoldPoint hold) => Machine.Plan.Holds.Single(h => h.Id == hold.Id);

    public bool Released(HoldPoint hold) => Machine.StandingOfHold(hold).Released is not null;

    public async Task<IActionResult> OnGet(string serial)
    {
        Form.AgreedWith = (await machines.Load(serial, Cancel)).CustomersPoints?.AgreedWith;
        return await Show(serial);
    }

    public Task<IActionResult> OnPostSet(string serial) => Act(
        async () =>
        {
            var machine = await machines.Load(serial, Cancel);
            return await acts.Set(Me, Form.ToRequest(serial, machine.Plan), Key, Cancel);
        },
        _ => (Here(serial), $"The customer's part at the hold points of {serial} is recorded."), () => Show(serial));

    private async Task<IActionResult> Show(string serial)
    {
        await Open();
        Machine = await machines.Load(serial, Cancel);
        Points = CustomersPointRules.PointsOf(Machine);
        Seconds = Frozen && MaySet ? [.. (await everybody.List(Cancel)).Where(p => !p.Disabled && p.Person != Me.Person && Permissions.May(p.Roles, ActKind.SetCustomersPoints))] : [];
        Name(Machine, "Customer's part", "Order sheet", "customer's part", "–",
            Machine.CustomersPoints is { Points.IsEmpty: false } now ? $"Revision {now.Revision}{(Frozen ? ", in force" : "")}" : "As in the plan", Here(serial));
        return Page();
    }

    private static string Here(string serial) => $"{SheetSets.UrlOf(serial)}/customers-part";

    /// <summary>What is typed into the form: one hold point after the other.</summary>
    public sealed class CustomersPartForm
    {
        public long Version { get; set; }

        public List<string> Hold { get; set; } = [];

        public List<CustomersPart> Part { get; set; } = [];

        public List<string?> Notice { get; set; } = [];

        public string? AgreedWith { get; set; }

        public string? Reason { get; set; }

        public string? Approver { get; set; }

        public string? ApproverPassword { get; set; }

        /// <summary>Only what differs from the plan is asked for.</summary>
        public SetCustomersPointsRequest ToRequest(string serial, ChecklistRevision plan)
        {
            var faults = new List<InputFault>();
            var points = ImmutableArray.CreateBuilder<CustomersPoint>();
            foreach (var ((hold, part), typed) in Hold.Zip(Part).Zip(Notice))
            {
                var days = 0;
                if (CustomersPoint.Invites(part) && !int.TryParse(typed, NumberStyles.None, CultureInfo.InvariantCulture, out days))
                {
                    faults.Add(new InputFault($"{hold}, notice", $"'{typed}'", "a whole number of working days"));
                }

                if (plan.Holds.FirstOrDefault(h => h.Id == hold) is not { } planned || CustomersPoint.PartAt(planned) != part || (planned.Witness?.NoticeDays ?? 0) != days)
                {
                    points.Add(new CustomersPoint(hold, part, days));
                }
            }

            return faults.Count > 0 ? throw new BadInputException(faults)
                : new SetCustomersPointsRequest(serial, points.ToImmutable(), AgreedWith ?? "", Version, string.IsNullOrEmpty(Approver) ? null : new Approval(Approver, ApproverPassword, Reason));
        }
    }
}
