using BuildTrack.Domain.Machines;
using BuildTrack.Domain.SitePacks;
using BuildTrack.Records.Machines;
using BuildTrack.Web.Sheets;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>What is measured at the customer as a form on paper, for where no tablet works and nobody can sign on line.</summary>
public sealed class SiteProtocolModel(MachineReader machines) : SheetPage
{
    public MachineRecord Machine { get; private set; } = null!;

    public SitePack Pack { get; private set; } = null!;

    public string Code => SitePack.Code(Machine, Pack.Surveys);

    public async Task OnGet(string serial)
    {
        await Open();
        Machine = await machines.Load(serial, Cancel);
        Pack = SitePack.Of(Machine);
        Name(Machine, "Protocol of work on site, to print", "Protocol", "site", "–", $"Code {Code}", SitePackModel.UrlOf(serial));
    }
}
