using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.SpotChecks;
using BuildTrack.Records.Machines;
using BuildTrack.Web.Sheets;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>The runs of a survey side by side, with their spot checks: what an inspector compares before a release.</summary>
public sealed class BesideModel(MachineReader machines) : SheetPage
{
    public MachineRecord Machine { get; private set; } = null!;

    public Survey Survey { get; private set; } = null!;

    /// <summary>The current measurement, or one for each feature.</summary>
    public ImmutableArray<RunsBeside> Measured { get; private set; } = [];

    public bool MayCheck => !SpotCheckRules.ColumnsOf(Survey).IsEmpty && Machine.ReleasedOver(Survey.Id) is null
        && Measured.Any(b => SpotCheckRules.WhyNotBegin(Machine, Survey, b.Measurement.Feature, Me.Person, Me.Roles) is null);

    public async Task OnGet(string serial, string survey)
    {
        await Open();
        Machine = await machines.Load(serial, Cancel);
        Survey = Machine.Revision.FindSurvey(survey) ?? throw new NotFoundException($"There is no survey {survey} in the checklists of {serial}.");
        Measured = RunsBeside.Of(Machine, Survey);
        Name(Machine, $"{Survey.Title}: runs", "Run sheet", survey, "–", $"{Measured.Sum(m => m.Runs.Length)} runs", $"{SheetSets.UrlOf(serial)}/step/{Survey.Step}");
    }
}
