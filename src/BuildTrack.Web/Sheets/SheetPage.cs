using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.People;
using BuildTrack.Records.Plant;
using BuildTrack.Records.Storage;
using BuildTrack.Web.Api;
using BuildTrack.Web.Security;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;

namespace BuildTrack.Web.Sheets;

/// <summary>What every sheet has: its title block, who looks at it, the plant's clock, and what an act answered.</summary>
public abstract class SheetPage : PageModel
{
    private IReadOnlyDictionary<string, string> names = new Dictionary<string, string>();

    /// <summary>The title block.</summary>
    public Sheet Sheet { get; private set; } = null!;

    public PlantSettings Plant { get; private set; } = null!;

    public PlantTime Clock { get; private set; } = null!;

    public Instant Now { get; private set; }

    public Caller Me => HttpContext.Caller();

    /// <summary>Who is signed in; null on the sheets before that.</summary>
    public Caller? Somebody => User.Identity?.IsAuthenticated == true ? Me : null;

    /// <summary>Makes a form that is sent twice act once.</summary>
    [BindProperty]
    public string? Key { get; set; }

    public string NewKey { get; } = Guid.NewGuid().ToString("N");

    /// <summary>The rule that forbade the act.</summary>
    public BrokenRule? Refused { get; private set; }

    public IReadOnlyList<InputFault> Faults { get; private set; } = [];

    /// <summary>What was done, told once on the page that follows.</summary>
    [TempData]
    public string? Done { get; set; }

    public bool May(string act) => Permissions.May(Me.Roles, act);

    /// <summary>The name of a person, as everybody in the shop says it.</summary>
    public string NameOf(string person) => names.GetValueOrDefault(person, person);

    public string NamesOf(IEnumerable<string> people) => string.Join(", ", people.Select(NameOf));

    protected CancellationToken Cancel => HttpContext.RequestAborted;

    /// <summary>Reads plant and names; every page calls it first.</summary>
    protected async Task Open()
    {
        var services = HttpContext.RequestServices;
        Plant = await services.GetRequiredService<PlantReader>().Get(Cancel);
        Clock = new PlantTime(Plant.TimeZone);
        Now = Instant.Now(services.GetRequiredService<TimeProvider>());
        names = await services.GetRequiredService<PeopleReader>().Names(Cancel);
    }

    /// <summary>The same for the error sheet, which is shown even where nothing can be read.</summary>
    protected async Task TryOpen()
    {
        try
        {
            await Open();
        }
        catch (Exception e) when (e is not OperationCanceledException)
        {
            (Plant, Clock, Now) = (PlantSettings.Unset, new PlantTime(PlantSettings.Unset.TimeZone), Instant.Now(HttpContext.RequestServices.GetRequiredService<TimeProvider>()));
        }
    }

    /// <summary>Names the sheet of the plant's own set.</summary>
    protected void Name(string title, string type, string status, string? here = null) =>
        Sheet = new(title, type, Plant.Prefix, "/", "–", Clock.Short(Now), "–", status, Somebody is null ? SheetSets.Alone(Request.Path, title) : SheetSets.OfPlant(Me.Roles), here ?? Request.Path);

    /// <summary>Names a sheet of a machine's set.</summary>
    protected void Name(MachineRecord machine, string title, string type, string line, string released, string status, string? here = null, Instant? at = null) =>
        Sheet = new(title, type, line.Length == 0 ? machine.Serial : $"{machine.Serial} / {line}", SheetSets.UrlOf(machine.Serial), machine.Revision.Edition,
            Clock.Short(at ?? Now), released, status, SheetSets.Of(machine, here ?? Request.Path), here ?? Request.Path);

    /// <summary>Acts; leads on when it was done, and comes back to the same sheet with the reason when it was refused.</summary>
    protected async Task<IActionResult> Act<T>(Func<Task<T>> act, Func<T, (string Url, string Done)> then, Func<Task<IActionResult>> again)
    {
        var (done, answer) = await Try(act);
        if (!done)
        {
            return await again();
        }

        (var url, Done) = then(answer!);
        return LocalRedirect(url);
    }

    /// <summary>Acts, and keeps the reason when it was refused; other errors are the error sheet's.</summary>
    protected async Task<(bool Done, T? Answer)> Try<T>(Func<Task<T>> act)
    {
        try
        {
            return (true, await act());
        }
        catch (Exception e) when (e is RefusedException or BadInputException or ChangedMeanwhileException or NotAllowedException or StoreBusyException or KeyReusedException)
        {
            (Refused, Faults) = e switch
            {
                RefusedException refused => (refused.Rule, []),
                BadInputException bad => (null, bad.Faults),
                _ => (new BrokenRule("", e.Message), (IReadOnlyList<InputFault>)[]),
            };
            Response.StatusCode = ErrorMapping.StatusOf(e);
            return (false, default);
        }
    }
}
