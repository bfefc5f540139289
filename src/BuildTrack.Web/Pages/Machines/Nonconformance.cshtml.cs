using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Nonconformances;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Nonconformances;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>One nonconformance: what is required and found, every entry in order, and the next act as a form.</summary>
public sealed class NonconformanceModel(NonconformanceActs acts, MachineReader machines) : SheetPage
{
    [BindProperty]
    public EntryForm Form { get; set; } = new();

    public MachineRecord Machine { get; private set; } = null!;

    public Nonconformance Of { get; private set; } = null!;

    public NonconformanceStanding Standing { get; private set; } = null!;

    /// <summary>The act that carries it on from here; null once it is closed.</summary>
    public NonconformanceAct? Next => Standing.State switch
    {
        NonconformanceState.Raised => NonconformanceAct.Contain,
        NonconformanceState.Contained => NonconformanceAct.Propose,
        NonconformanceState.DispositionProposed => Standing.Missing.IsEmpty ? NonconformanceAct.Consent : NonconformanceAct.Approve,
        NonconformanceState.DispositionApproved => NonconformanceAct.Action,
        NonconformanceState.ActionDone => NonconformanceAct.Verify,
        NonconformanceState.Verified => NonconformanceAct.Close,
        _ => null,
    };

    /// <summary>Everything this person may do now, the next act first.</summary>
    public IEnumerable<NonconformanceAct> Forms => new[] { Next, NonconformanceAct.Consent, NonconformanceAct.GiveBack }.OfType<NonconformanceAct>().Distinct()
        .Where(a => May(NonconformanceActs.KindOf(a)) && (a == NonconformanceAct.Propose || WhyNot(a) is null) && (a != NonconformanceAct.Consent || Approval.Permits(Standing.Disposition!.Value)));

    /// <summary>The rule that forbids this person the next act; null where none does.</summary>
    public BrokenRule? WhyNotNext => Next is { } act && act != NonconformanceAct.Propose && May(NonconformanceActs.KindOf(act)) ? WhyNot(act) : null;

    /// <summary>The dispositions that this person may propose.</summary>
    public IEnumerable<Disposition> Dispositions => Enum.GetValues<Disposition>().Where(d => NonconformanceRules.WhyNot(Machine, Of, NonconformanceAct.Propose, Me.Person, Me.Roles, d) is null);

    /// <summary>Machines of the plant that may have the same.</summary>
    public IReadOnlyList<string> OtherMachines { get; private set; } = [];

    public Task<IActionResult> OnGet(string serial, int number) => Show(serial, number);

    public Task<IActionResult> OnPost(string serial, int number) => Act(
        () => acts.Do(Me, Form.Request(number), Key, Cancel),
        done => ($"{SheetSets.UrlOf(serial)}/nonconformances/{number}", FormattableString.Invariant($"NCR-{done.Number:0000}: {done.State}{(done.Concession is { } c ? $", {c}" : "")}.")),
        () => Show(serial, number));

    private BrokenRule? WhyNot(NonconformanceAct act) => NonconformanceRules.WhyNot(Machine, Of, act, Me.Person, Me.Roles);

    private async Task<IActionResult> Show(string serial, int number)
    {
        await Open();
        Machine = await machines.Load(serial, Cancel);
        Of = Machine.Nonconformances.SingleOrDefault(n => n.Number == number) ?? throw new NotFoundException(FormattableString.Invariant($"{serial} has no nonconformance NCR-{number:0000}."));
        Standing = Of.Standing;
        if (Next == NonconformanceAct.Contain)
        {
            OtherMachines = [.. (await machines.Serials(Cancel)).Where(s => s != serial)];
        }

        Name(Machine, Of.Name, "Nonconformance", Of.Name, "–", Standing.Word,
            $"{SheetSets.UrlOf(serial)}/nonconformances", Standing.Since);
        return Page();
    }

    /// <summary>What is typed into the form of an act.</summary>
    public sealed class EntryForm
    {
        public NonconformanceAct Act { get; set; }

        public string? Text { get; set; }

        public string? Tag { get; set; }

        public string? Place { get; set; }

        public List<string> Others { get; set; } = [];

        public CauseCategory? Cause { get; set; }

        public Disposition? Disposition { get; set; }

        public string? CustomerPerson { get; set; }

        public string? Letter { get; set; }

        internal NonconformanceRequest Request(int number) => new(
            number, Act, Text, Act == NonconformanceAct.Contain ? new Containment(Tag?.Trim() ?? "", Place?.Trim() ?? "", [.. Others]) : null, Cause, Disposition,
            Act == NonconformanceAct.Consent ? new CustomerConsent(CustomerPerson?.Trim() ?? "", Letter?.Trim() ?? "") : null);
    }
}
