using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Metrology.Verdicts;
using BuildTrack.Records.Checklists;
using BuildTrack.Records.Machines;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Authorization;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>Opens the build record of a machine; the order may change one of the company's limits.</summary>
[Authorize(Policy = ActKind.OrderMachine)]
public sealed class NewModel(MachineActs acts, ChecklistReader checklists) : SheetPage
{
    [BindProperty]
    public string? Serial { get; set; }

    [BindProperty]
    public string? MachineModel { get; set; }

    [BindProperty]
    public string? Customer { get; set; }

    [BindProperty]
    public TermForm Term { get; set; } = new();

    public ChecklistRevision? Revision { get; private set; }

    public async Task OnGet() => await Show();

    public Task<IActionResult> OnPost() => Act(
        () => acts.Order(Me, new OrderMachineRequest(Serial?.Trim() ?? "", MachineModel ?? "", Customer?.Trim() ?? "", Term.Terms()), Key, Cancel),
        done => (SheetSets.UrlOf(done.Subject), $"The build record of {done.Subject} is open."),
        async () =>
        {
            await Show();
            return Page();
        });

    private async Task Show()
    {
        await Open();
        Revision = await checklists.Current(Cancel);
        Name("Order a machine", "Order sheet", Revision is null ? "No inspection and test plan loaded" : $"Inspection and test plan {Revision.Edition}");
    }

    /// <summary>One order term as typed; nothing typed is no term.</summary>
    public sealed class TermForm
    {
        public string? Characteristic { get; set; }

        public string? Limit { get; set; }

        public string? Reference { get; set; }

        public DecisionRule? Rule { get; set; }

        public string? Origin { get; set; }

        public string? Edition { get; set; }

        public string? ApprovedBy { get; set; }

        public string? Reason { get; set; }

        /// <exception cref="BadInputException">The limit is no number with a unit.</exception>
        public ImmutableArray<OrderTerm> Terms()
        {
            if (string.IsNullOrEmpty(Characteristic))
            {
                return [];
            }

            Amount? limit = null;
            if (!string.IsNullOrWhiteSpace(Limit))
            {
                limit = Amount.TryParse(Limit.Trim().Replace(',', '.'), out var amount) ? amount
                    : throw new BadInputException("limit of the order term", $"'{Limit}'", "a number and a unit, like 0.100 mm");
            }

            // "flatness at most" or "thickness at least": the characteristic's own limit tells which side is meant.
            var lower = Characteristic.StartsWith("least-", StringComparison.Ordinal);
            return [new OrderTerm(Characteristic, lower ? null : limit, lower ? limit : null, string.IsNullOrEmpty(Reference) ? null : Reference, Rule,
                Origin ?? "", Edition ?? "", ApprovedBy ?? "", Reason ?? "")];
        }
    }
}
