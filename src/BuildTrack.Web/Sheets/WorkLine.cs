using System.Collections.Immutable;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.PunchList;
using BuildTrack.Domain.Route;
using BuildTrack.Domain.Temperatures;
using BuildTrack.Records.Machines;
using BuildTrack.Web.Pages.Machines;

namespace BuildTrack.Web.Sheets;

public enum WorkKind
{
    /// <summary>Work at a step without checks: begin, go on, finish.</summary>
    Work,

    /// <summary>A survey to be measured, or a list to be answered.</summary>
    Measure,

    /// <summary>A hold point where everything is accepted.</summary>
    Release,

    /// <summary>Everything is accepted, and an open nonconformance or item of the punch list stands in the way.</summary>
    Blocked,
}

/// <summary>One thing to do next on a machine, and the sheet on which it is done.</summary>
/// <param name="Step">The step of the route it belongs to.</param>
/// <param name="Hold">The hold point of that step that is not released.</param>
/// <param name="Worst">The first result there that is not accepted.</param>
/// <param name="Open">A run somebody is in the middle of.</param>
/// <param name="Next">What to do, in a sentence.</param>
/// <param name="Button">The words on the button that leads there.</param>
/// <param name="Url">Where it is done.</param>
public sealed record WorkLine(
    string Serial, string Customer, WorkKind Kind, StepStanding Step, HoldStanding? Hold, CharacteristicStanding? Worst, Run? Open, string Next, string Button, string Url)
{
    /// <summary>What can be done now on all machines.</summary>
    public static async Task<ImmutableArray<WorkLine>> Of(MachineDigests machines, CancellationToken ct) =>
        [.. (await machines.Of(Derive, ct)).SelectMany(m => m.Lines)];

    /// <summary>Says what is needed of each machine, before the first who asks.</summary>
    public static void Needs(MachineDigests machines) => machines.Needs(Derive);

    private static MachineWork Derive(MachineRecord machine, PlantTime time) => new(Of(machine, time));

    private sealed record MachineWork(ImmutableArray<WorkLine> Lines);

    /// <summary>What can be done now on one machine: nothing while it is on hold.</summary>
    /// <param name="time">The plant's clock: a bed that is too warm waits until a time of day.</param>
    public static ImmutableArray<WorkLine> Of(MachineRecord machine, PlantTime time)
    {
        var route = machine.Route;
        return route.OnHold is not null ? [] : [.. route.Steps.Where(s => s.Open || s.State == StepState.Recorded).Select(s => Of(machine, s, time))];
    }

    private static WorkLine Of(MachineRecord machine, StepStanding step, PlantTime time)
    {
        var (root, number) = (SheetSets.UrlOf(machine.Serial), step.Step.Number);
        WorkLine Says(WorkKind kind, HoldStanding? hold, CharacteristicStanding? worst, Run? open, string next, string button, string url) =>
            new(machine.Serial, machine.Customer, kind, step, hold, worst, open, next, button, url);

        var surveys = machine.Revision.Surveys.Where(s => s.Step == number).Select(s => s.Id).ToHashSet();
        if (machine.Measurements.Where(m => surveys.Contains(m.Survey)).Select(m => m.Open).FirstOrDefault(r => r is not null) is { } open)
        {
            return Says(WorkKind.Measure, step.Holds.FirstOrDefault(h => h.Released is null), null, open, "Go on with the run, or set it aside.", "Go on", RunView.SheetUrlOf(machine.Serial, open.Id));
        }

        if (GradientStanding.WaitingAt(machine, number) is { } gradient)
        {
            return Says(WorkKind.Measure, step.Holds.FirstOrDefault(h => h.Released is null), null, null, Words.Sentence(gradient.Sentence(time)), "Temperatures", TemperaturesModel.UrlOf(machine.Serial, number));
        }

        // A list is answered when the work is done, a survey can be the work.
        var first = step.Holds.FirstOrDefault(h => h.Released is null)?.Worst;
        var workFirst = step.State is StepState.Paused or StepState.Rework || (step.State == StepState.Ready && first?.Agreed.Characteristic.Evaluator == AnswersEvaluator.Name);
        if (step.Holds.FirstOrDefault(h => h.Released is null) is { } hold && !workFirst)
        {
            if (hold is { Ready: true, Returned: null })
            {
                return Says(WorkKind.Release, hold, null, null, $"Release {hold.Hold.Id}.", "Look at the release sheet", $"{root}/release/{hold.Hold.Id}");
            }

            if (hold is { Worst: null, Blocked: { } blocked, Returned: null })
            {
                return Says(WorkKind.Blocked, hold, null, null, blocked.Sentence, "To what stands in the way", $"{root}/{(blocked.Id == PunchRules.OpenClassA ? "punch-list" : "nonconformances")}");
            }

            var worst = hold.Worst;
            var next = hold.Returned is { } back ? $"Returned: {back.Reason}"
                : worst?.RepeatBecause is { } why ? $"Measure again: {why}."
                : worst?.Evaluation?.Record.Result.Next.Sentence ?? (worst is null ? "" : worst.Agreed.Characteristic.Evaluator == AnswersEvaluator.Name ? $"{worst.Agreed.Characteristic.Title}: answer it." : $"{worst.Agreed.Characteristic.Title}: measure it.");
            return worst is { Standing: Standing.Calculated }
                ? Says(WorkKind.Measure, hold, worst, null, next, "To the result", $"{root}/results/{worst.Agreed.Characteristic.Line}")
                : Says(WorkKind.Measure, hold, worst, null, next, worst?.Agreed.Characteristic.Evaluator == AnswersEvaluator.Name ? "Answer" : "Measure", $"{root}/step/{number}");
        }

        var (doing, words) = step.State switch
        {
            StepState.Ready => ("Begin the work.", "Begin"),
            StepState.Paused => ($"Paused: {step.Because}", "Go on"),
            StepState.Rework => ($"Rework: {step.Because}", "Begin"),
            _ => ("Finish the work, or pause it with the reason.", "To the route card"),
        };
        return Says(WorkKind.Work, step.Holds.FirstOrDefault(h => h.Released is null), null, null, doing, words, $"{root}/route?step={number}#step");
    }
}
