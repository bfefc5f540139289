namespace BuildTrack.Browser.Tests;

/// <summary>A test with windows: they are closed after it, and what stood in them is kept if it failed.</summary>
public abstract class BrowserTest(DemoServer server) : IAsyncDisposable
{
    protected DemoServer Server { get; } = server;

    public async ValueTask DisposeAsync()
    {
        GC.SuppressFinalize(this);
        var now = TestContext.Current;
        if (now.TestState?.Result == TestResult.Failed)
        {
            var folder = await Server.Keep($"{now.TestClass?.TestClassSimpleName}.{now.TestMethod?.MethodName}");
            now.TestOutputHelper?.WriteLine($"What stood in the windows is kept in {folder}");
            now.SendDiagnosticMessage("What stood in the windows is kept in {0}", folder);
        }

        await Server.CloseWindows();
    }
}
