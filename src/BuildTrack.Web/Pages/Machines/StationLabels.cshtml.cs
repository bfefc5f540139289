using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Machines;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>A sheet of labels for the stations of a bed or rail of one machine.</summary>
public sealed class StationLabelsModel(MachineReader machines) : SheetPage
{
    /// <summary>Stations that are printed together.</summary>
    /// <param name="Id">rail-seats/R1.</param>
    /// <param name="Name">"R1 along the rail seats: 13 stations".</param>
    public sealed record Group(string Id, string Name, ImmutableArray<Station> Stations);

    public MachineRecord Machine { get; private set; } = null!;

    public ImmutableArray<Group> Layouts { get; private set; } = [];

    public Group? Chosen { get; private set; }

    public async Task<IActionResult> OnGet(string serial, string? layout)
    {
        await Open();
        Machine = await machines.Load(serial, Cancel);
        var used = Machine.Revision.Surveys.Select(s => s.Layout).ToHashSet();
        Layouts = [.. Machine.Revision.Layouts.Where(l => used.Contains(l.Id)).SelectMany(l => GroupsOf(l.Id, l.StationsFor(Machine.Model)))];
        Chosen = layout is null ? Layouts.FirstOrDefault() : Layouts.FirstOrDefault(l => l.Id == layout) ?? throw new NotFoundException($"{serial} has no stations '{layout}'.");
        Name(Machine, "Labels of the stations", "Labels", "stations", "–", Chosen is null ? "no stations" : $"{Chosen.Stations.Length} labels", $"{SheetSets.UrlOf(serial)}/route");
        return Page();
    }

    // By rail, where the stations stand on two; each rail has its own sheet of labels.
    private static IEnumerable<Group> GroupsOf(string layout, ImmutableArray<Station> stations)
    {
        var rows = stations.GroupBy(s => s.Id.Contains('-', StringComparison.Ordinal) ? s.Id[..s.Id.IndexOf('-', StringComparison.Ordinal)] : "").ToArray();
        var words = layout.Replace('-', ' ');
        return rows.Select(r => new Group(r.Key.Length == 0 ? layout : $"{layout}/{r.Key}", $"{(rows.Length > 1 ? $"{r.Key}, " : "")}{words}: {r.Count()} stations", [.. r]));
    }
}
