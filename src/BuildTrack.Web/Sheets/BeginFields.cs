using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Temperatures;
using BuildTrack.Records.People;
using BuildTrack.Web.Pages.Machines;

namespace BuildTrack.Web.Sheets;

/// <summary>The fields of the form that begins a run.</summary>
/// <param name="Form">As typed before, where it was refused.</param>
/// <param name="Today">yyyy-MM-dd in plant time.</param>
/// <param name="Carried">A tablet takes the form along: what holds for today only is not said.</param>
public sealed record BeginFields(
    MachineRecord Machine, Survey Survey, string? Feature, StepModel.BeginForm Form, ImmutableArray<RegisterEntry> Instruments, ImmutableArray<PersonLine> Helpers, string Today, bool Carried = false)
{
    /// <summary>Four places on the bed, six on a long one: two or three pairs top and bottom.</summary>
    public int Pairs => TemperatureRules.PairsOf(Machine.Model);

    /// <summary>As chosen; else outward first and then in turn.</summary>
    public Direction Next => Form.Direction
        ?? (Machine.Current(Survey.Id, Feature)?.CountedPasses.LastOrDefault()?.Direction == Direction.Outward ? Direction.Back : Direction.Outward);
}
