using System.Collections.Concurrent;
using System.Text;
using BuildTrack.Domain.Certificates;

namespace BuildTrack.Records.Tests.Support;

/// <summary>Renders nothing worth printing, remembers every call; each document is another one, as those of a real renderer are.</summary>
internal sealed class RecordingRenderer : ICertificateRenderer
{
    private int calls;

    public ConcurrentQueue<string> Rendered { get; } = new();

    /// <summary>Runs before a document is given back: waits, throws.</summary>
    public Action? Before { get; set; }

    public string KeyFingerprint => new('a', 64);

    public byte[] Render(string recordText)
    {
        Rendered.Enqueue(recordText);
        Before?.Invoke();
        return Encoding.UTF8.GetBytes($"document {Interlocked.Increment(ref calls)}\n{recordText}");
    }
}
