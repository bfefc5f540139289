using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Route;
using BuildTrack.Domain.Rules;

namespace BuildTrack.Domain.StepFiles;

/// <summary>Which files are taken, which photos a step cannot be finished without, and when a file is set aside.</summary>
public static class FileRules
{
    public const string Empty = "R-FILE-01";
    public const string OtherKind = "R-FILE-02";
    public const string TooLong = "R-FILE-03";
    public const string PhotoMissing = "R-FILE-04";
    public const string NoPhoto = "R-FILE-05";
    public const string SetAsideAlready = "R-FILE-06";
    public const string StillNeeded = "R-FILE-07";

    /// <summary>The rule that keeps a content out; null when it is taken.</summary>
    /// <param name="required">The required photo it is sent as; null for any other.</param>
    public static BrokenRule? WhyNotTake(string name, ReadOnlySpan<byte> bytes, RequiredPhoto? required) =>
        bytes.IsEmpty ? new BrokenRule(Empty, $"The file '{name}' is empty.")
        : FileContent.MediaTypeOf(bytes) is not { } type
            ? new BrokenRule(OtherKind, $"The content of '{name}' is of no kind that is kept, whatever its name says; expected {FileContent.Kinds}.")
        : bytes.Length > FileContent.Longest(type)
            ? new BrokenRule(TooLong, $"'{name}' has {FileContent.SizeInWords(bytes.Length)}; a {(FileContent.IsPhoto(type) ? "photo" : "file")} may have {FileContent.SizeInWords(FileContent.Longest(type))}.")
        : required is not null && !FileContent.IsPhoto(type)
            ? new BrokenRule(NoPhoto, $"'{name}' is no photo; \"{required.Text}\" is shown by a JPEG, PNG or WebP.")
        : null;

    /// <summary>The files of a step, in the order they came.</summary>
    public static ImmutableArray<StepFile> At(MachineRecord machine, int step) => [.. machine.Files.Where(f => f.Step == step)];

    /// <summary>The files that belong to a run, or to one of its places, in the order they came.</summary>
    public static ImmutableArray<StepFile> OfRun(MachineRecord machine, long run) => [.. machine.Files.Where(f => f.Of?.Run == run)];

    /// <summary>The files that belong to a nonconformance, by its number, in the order they came.</summary>
    public static ImmutableArray<StepFile> OfNonconformance(MachineRecord machine, int number) => [.. machine.Files.Where(f => f.Of?.Nonconformance == number)];

    /// <summary>The photo that counts for a required one: of the work since the step was last opened again, not set aside; null where there is none.</summary>
    public static StepFile? PhotoOf(MachineRecord machine, RouteStep step, RequiredPhoto required)
    {
        var opened = machine.RouteCard.LastOrDefault(e => e.Step == step.Number && e.Act == RouteAct.Reopen)?.Id ?? 0;
        return machine.Files.LastOrDefault(f => f.Step == step.Number && f.Subject == required.Id && f.SetAside is null && f.Id > opened);
    }

    /// <summary>The required photos of a step that are not there.</summary>
    public static ImmutableArray<RequiredPhoto> Missing(MachineRecord machine, RouteStep step) => [.. step.Photos.Where(p => PhotoOf(machine, step, p) is null)];

    /// <summary>The rule that keeps a step from being finished; null when all its required photos are there.</summary>
    public static BrokenRule? WhyNotFinish(MachineRecord machine, RouteStep step) =>
        Missing(machine, step) is { IsEmpty: false } missing
            ? new BrokenRule(PhotoMissing, $"Step {step.Number} of {machine.Serial} is finished with its photos; missing: {string.Join("; ", missing.Select(p => p.Text))}.")
            : null;

    /// <summary>The same for the hold points of the step: a release says that its work was done.</summary>
    public static BrokenRule? WhyBlocked(MachineRecord machine, HoldPoint hold) => machine.Revision.FindStep(hold.Step) is { } step ? WhyNotFinish(machine, step) : null;

    /// <summary>The rule that keeps a file from being set aside; null when none does.</summary>
    public static BrokenRule? WhyNotSetAside(MachineRecord machine, StepFile file)
    {
        if (file.SetAside is { } aside)
        {
            return new BrokenRule(SetAsideAlready, $"The {file.InWords} was set aside by {aside.Person} at {aside.At.InWords}: {aside.Reason}.");
        }

        var step = machine.Revision.FindStep(file.Step)!;
        return machine.Route.Of(file.Step).Last?.Act == RouteAct.Finish && step.Photos.FirstOrDefault(p => p.Id == file.Subject) is { } required
            && PhotoOf(machine, step, required) is not null && PhotoOf(machine with { Files = machine.Files.Remove(file) }, step, required) is null
            ? new BrokenRule(StillNeeded, $"Step {file.Step} of {machine.Serial} was finished with this photo of \"{required.Text}\"; attach the right one first, or open the step again.")
            : null;
    }
}
