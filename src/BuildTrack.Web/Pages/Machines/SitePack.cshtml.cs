using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.SitePacks;
using BuildTrack.Records.Instruments;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Qualifications;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>Everything about one machine that work at the customer needs, on one sheet that a tablet carries.</summary>
public sealed class SitePackModel(MachineReader machines, InstrumentReader register, QualificationReader qualified) : SheetPage
{
    public MachineRecord Machine { get; private set; } = null!;

    public SitePack Pack { get; private set; } = null!;

    public ImmutableArray<RegisterEntry> Instruments { get; private set; } = [];

    /// <summary>The sheets that begin a run without network.</summary>
    public ImmutableArray<SiteBegin> Begins { get; private set; } = [];

    public SiteFeet? Feet { get; private set; }

    /// <summary>The feet as the calculations on the tablet read them.</summary>
    public string FeetText => CanonicalJson.Of(Feet ?? NoFeet);

    /// <summary>What is worked out; null for nothing yet.</summary>
    [BindProperty(SupportsGet = true)]
    public string? Reckon { get; set; }

    public Reckoned? Answer { get; private set; }

    private static SiteFeet NoFeet { get; } = new([], null, 0, 1);

    public async Task OnGet(string serial)
    {
        await Open();
        Machine = await machines.Load(serial, Cancel);
        Pack = SitePack.Of(Machine);
        Instruments = Pack.Instruments(await register.List(Cancel));
        var lists = await qualified.Today(Cancel);
        Begins = [.. Pack.Surveys.Select(s => SiteBegin.Of(Machine, s, Me, lists))];
        Feet = SitePack.FeetOf(Machine);
        if (Reckon is SiteReckoning.DewPointKind or SiteReckoning.GasKind || (Reckon == SiteReckoning.FeetKind && Feet is not null))
        {
            Answer = SiteReckoning.Of(Reckon, Feet ?? NoFeet, Request.Query.Select(q => new TypedField(q.Key, q.Value.ToString())));
        }

        Name(Machine, "Site pack", "Site pack", "site", "–", "packed", UrlOf(serial));
    }

    public string Typed(string kind, string field) => Reckon == kind ? Request.Query[field].ToString() : "";

    public static string UrlOf(string serial) => $"{SheetSets.UrlOf(serial)}/site-pack";
}
