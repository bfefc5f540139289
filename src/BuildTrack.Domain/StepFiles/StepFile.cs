using BuildTrack.Domain.Canonical;

namespace BuildTrack.Domain.StepFiles;

/// <summary>Why a file no longer counts, by whom and when. The file stays, crossed out.</summary>
public sealed record FileSetAside(long Id, string Person, Instant At, string Reason);

/// <summary>A photo or file attached to a step of a machine. Files are added, never changed.</summary>
/// <param name="Step">Number of the step.</param>
/// <param name="Subject">Which of the step's required photos it is; null for any other photo or file.</param>
/// <param name="Shows">What it shows, in a few words.</param>
/// <param name="Name">The name it was sent with: for people only, never a path.</param>
/// <param name="MediaType">By the first bytes of its content.</param>
/// <param name="Size">Length of its content, byte.</param>
/// <param name="Hash">SHA-256 of its content, by which it is kept.</param>
/// <param name="Of">The run, place or nonconformance that it shows; null where it belongs to the step alone.</param>
public sealed record StepFile(
    long Id, int Step, string? Subject, string Shows, string Name, string MediaType, long Size, string Hash, string Person, Instant At, FileSetAside? SetAside = null, FileOf? Of = null)
{
    public bool IsPhoto => FileContent.IsPhoto(MediaType);

    /// <summary>"photo 'clamp.jpg' at step 90, clamp pattern".</summary>
    public string InWords => $"{(IsPhoto ? "photo" : "file")} '{Name}' at step {Step}, {Shows}";

    /// <summary>Of everything that was said of it when it was attached. Of a file that belongs to its step alone it is what it was before files could belong to more: null has no place in the text.</summary>
    public string RowHash => CanonicalJson.Hash(CanonicalJson.Of(new { Id, Step, Subject, Shows, Name, MediaType, Size, Hash, Person, At, Of }));
}
