using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.StepFiles;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Files;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.StepFiles;

/// <summary>Attaches a photo or file to a step of a machine.</summary>
/// <param name="Subject">Id of the required photo it is; null for any other photo or file.</param>
/// <param name="Shows">What it shows; empty for a required photo, whose own text then says it.</param>
/// <param name="Name">The name it was sent with.</param>
/// <param name="Of">The run, place or nonconformance of that step which it shows; null where it belongs to the step alone.</param>
public sealed record AttachFileRequest(string Serial, int Step, string? Subject, string? Shows, string? Name, FileOf? Of = null);

/// <summary>Sets a file aside, with the reason: it stays, crossed out.</summary>
public sealed record SetFileAsideRequest(string Serial, long File, string Reason);

/// <param name="File">Its id.</param>
/// <param name="Hash">SHA-256 of its content.</param>
public sealed record AttachReceipt(long Sequence, string Serial, int Step, long File, string Hash, string MediaType, string Name);

/// <summary>Photos and files of steps: attached, and set aside where one was wrong.</summary>
public sealed class StepFileActs(ActRunner acts, FileStore files, Store store)
{
    /// <summary>Keeps the content and attaches it, or refuses it with the rule. The same content again is kept once.</summary>
    /// <exception cref="NotFoundException">No such machine, or no such step on its route.</exception>
    public async Task<AttachReceipt> Attach(Caller who, AttachFileRequest request, ReadOnlyMemory<byte> bytes, string? key, CancellationToken ct)
    {
        if (!Permissions.May(who.Roles, ActKind.AttachFile))
        {
            throw new NotAllowedException(ActKind.AttachFile, who);
        }

        var name = FileName.Clean(request.Name);
        await using (var db = store.OpenToRead())
        {
            Check(await MachineReader.Load(db, request.Serial, ct), request, name, bytes);
        }

        // The content is on disk before the row that names it: a row without its file cannot come to be. Outside the act, which holds up all others.
        var hash = await files.Put(bytes, ct);
        return await acts.Do(who, ActKind.AttachFile, new { request, Hash = hash }, key, async act =>
        {
            var shows = Check(await MachineReader.Load(act.Db, request.Serial, ct), request, name, bytes);
            var type = FileContent.MediaTypeOf(bytes.Span)!;
            var file = new StepFile(act.NewId(), request.Step, MachineActs.Plain(request.Subject), shows, name, type, bytes.Length, hash, who.Person, act.Now, null, request.Of);
            act.Db.StepFiles.Add(StepFileReader.ToRow(file, request.Serial));
            act.Keep(KeptRow.File, file.Id, StepFileReader.Of(file.Step), file.RowHash);
            if (!await act.Db.Files.AnyAsync(f => f.Hash == hash, ct))
            {
                act.Db.Files.Add(new FileRow { Hash = hash, Name = name, MediaType = type, Size = bytes.Length, AtUs = act.Now.Microseconds, By = who.Person });
            }

            await act.Touch(request.Serial, ct);
            return new ActResult<AttachReceipt>(
                new AttachReceipt(act.Sequence, request.Serial, request.Step, file.Id, hash, type, name), request.Serial, new { request.Serial, File = file });
        }, ct);
    }

    public Task<ActReceipt> SetAside(Caller who, SetFileAsideRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.SetFileAside, request, key, async act =>
        {
            var machine = await MachineReader.Load(act.Db, request.Serial, ct);
            var file = machine.Files.SingleOrDefault(f => f.Id == request.File) ?? throw new NotFoundException($"There is no file {request.File} of {request.Serial}.");
            MachineActs.Throw(MachineActs.Texts(("reason", request.Reason)));
            if (FileRules.WhyNotSetAside(machine, file) is { } rule)
            {
                throw new RefusedException(rule);
            }

            act.Db.FilesSetAside.Add(new FileSetAsideRow
            {
                Id = act.NewId(), FileId = file.Id, Serial = request.Serial, Person = who.Person, AtUs = act.Now.Microseconds, Reason = request.Reason.Trim(),
            });
            await act.Touch(request.Serial, ct);
            return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, request.Serial), request.Serial, new { request, file.Hash, file.Name });
        }, ct);

    /// <summary>Checks everything that is asked, and returns what the file shows.</summary>
    private static string Check(MachineRecord machine, AttachFileRequest request, string name, ReadOnlyMemory<byte> bytes)
    {
        var step = machine.Revision.FindStep(request.Step) ?? throw new NotFoundException($"There is no step {request.Step} on the route of {machine.Serial}.");
        RequiredPhoto? required = null;
        var faults = new List<InputFault>();
        if (MachineActs.Plain(request.Subject) is { } subject && (required = step.Photos.FirstOrDefault(p => p.Id == subject)) is null)
        {
            faults.Add(new InputFault("subject", $"'{subject}'", step.Photos.IsEmpty ? $"none: step {step.Number} asks for no photos" : $"one of {string.Join(", ", step.Photos.Select(p => p.Id))}, or none"));
        }

        faults.AddRange(request.Of?.Faults(machine, step.Number) ?? []);
        var shows = MachineActs.Plain(request.Shows) ?? required?.Text;
        faults.AddRange(MachineActs.Texts(("what it shows", shows)));
        MachineActs.Throw(faults);
        return FileRules.WhyNotTake(name, bytes.Span, required) is { } rule ? throw new RefusedException(rule) : shows!.Trim();
    }
}
