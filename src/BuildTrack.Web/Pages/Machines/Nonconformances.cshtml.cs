using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Nonconformances;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Nonconformances;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>A machine's nonconformances, and the form that raises one: from a failed result, or for something seen.</summary>
public sealed class NonconformancesModel(NonconformanceActs acts, MachineReader machines) : SheetPage
{
    [BindProperty]
    public RaiseForm Form { get; set; } = new();

    public MachineRecord Machine { get; private set; } = null!;

    /// <summary>The failed result that the form is filled from; null for something seen.</summary>
    public FailedResult? Failed { get; private set; }

    /// <summary>Why nothing can be raised from the line that was asked for.</summary>
    public BrokenRule? WhyNot { get; private set; }

    public Task<IActionResult> OnGet(string serial, string? line)
    {
        Form.Line = line;
        return Show(serial);
    }

    public Task<IActionResult> OnPost(string serial) => Act(
        () => acts.Raise(Me, Form.Request(serial), Key, Cancel),
        done => (FormattableString.Invariant($"{SheetSets.UrlOf(serial)}/nonconformances/{done.Number}"), FormattableString.Invariant($"NCR-{done.Number:0000} is raised.")),
        () => Show(serial));

    private async Task<IActionResult> Show(string serial)
    {
        await Open();
        Machine = await machines.Load(serial, Cancel);
        if (Form.Line is { Length: > 0 } line)
        {
            var agreed = Machine.AgreedAt(line);
            (Failed, WhyNot) = NonconformanceRules.FromResult(Machine, agreed);
        }

        Name(Machine, "Nonconformances", "List of nonconformances", "nonconformances", "–", $"{Machine.Nonconformances.Count(n => n.Open)} open", $"{SheetSets.UrlOf(serial)}/nonconformances");
        return Page();
    }

    /// <summary>What is typed into the form; of a line nothing but the severity and a note is.</summary>
    public sealed class RaiseForm
    {
        public string? Line { get; set; }

        public string? Evaluation { get; set; }

        public int? Step { get; set; }

        public string? Required { get; set; }

        public string? Found { get; set; }

        public string? Origin { get; set; }

        public bool FromContract { get; set; }

        public Severity? Severity { get; set; }

        public string? Note { get; set; }

        internal RaiseRequest Request(string serial) => string.IsNullOrEmpty(Line)
            ? new RaiseRequest(serial, Step, null, null, new SeenFault(Required?.Trim() ?? "", Found?.Trim() ?? "", Origin?.Trim() ?? "", FromContract), Severity, Note)
            : new RaiseRequest(serial, null, Line, Evaluation, null, Severity, Note);
    }
}
