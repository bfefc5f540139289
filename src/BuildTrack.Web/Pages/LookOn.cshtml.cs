using System.Collections.Immutable;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Witnessing;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Machines;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages;

/// <summary>What the invited witness sees while it is measured: the results of one point and its readings as they come. No names of the plant's people, no other machine, nothing to press.</summary>
public sealed class LookOnModel(MachineReader machines, LookOnLinks links) : SheetPage
{
    private const string NotOpen = "This link does not open a sheet, or no longer. Who invited you can give you a new one.";

    public MachineRecord Machine { get; private set; } = null!;

    public WitnessEntry Link { get; private set; } = null!;

    /// <summary>The released points before this one in the same certificate, and this one.</summary>
    public ImmutableArray<HoldStanding> Points { get; private set; } = [];

    /// <summary>The last run of each survey of the point, the newest first.</summary>
    public ImmutableArray<(string Title, Run Run)> Runs { get; private set; } = [];

    public HoldStanding Point => Points[^1];

    public async Task<IActionResult> OnGet(string link)
    {
        await Open();
        var (serial, id) = links.Read(link) ?? throw new NotFoundException(NotOpen);
        Machine = await machines.Load(serial, Cancel);
        Link = Machine.Witness.FirstOrDefault(w => w.Id == id) ?? throw new NotFoundException(NotOpen);
        var hold = Machine.Revision.Holds.Single(h => h.Id == Link.Hold);
        if (LookingOn.At(Machine, hold, Clock.Day(Now))?.Id != id)
        {
            throw new NotFoundException(NotOpen);
        }

        // What is not released yet may still change, and is nobody's to see but at the point itself.
        Points = [.. WitnessStatement.Points(Machine, hold).Select(Machine.StandingOfHold).Where(p => p.Hold == hold || p.Released is not null)];
        Runs = [.. Machine.SurveysOfHold(hold.Id)
            .SelectMany(s => Machine.Measurements.Where(m => m.Survey == s).SelectMany(m => m.Runs).Where(r => r.Discarded is null && r.Kind != RunKind.SpotCheck).TakeLast(1).Select(r => (Machine.Revision.Survey(s).Title, r)))
            .OrderByDescending(r => r.r.Id)];
        Response.Headers.CacheControl = "no-store";
        Name($"{Machine.Serial}: {hold.Name}", "Looking on", $"until {Link.Visit}");
        return Page();
    }
}
