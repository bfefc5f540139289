namespace BuildTrack.Web.Https;

/// <summary>The server does not start with these settings; the message is one sentence for the person at the console.</summary>
public sealed class StartRefusedException(string message) : Exception(message);
