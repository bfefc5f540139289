using Xunit.Sdk;
using Xunit.v3;

[assembly: TestMethodOrderer(typeof(BuildTrack.Browser.Tests.InOrderOfName))]

namespace BuildTrack.Browser.Tests;

/// <summary>
/// Tests of a class share a server, and so what the test before left in it: they run in the same order wherever the checkout lies.
/// The order a runner takes by itself follows from the path. BUILDTRACK_ORDER=reverse turns it, to see that no test leans on another.
/// </summary>
public sealed class InOrderOfName : ITestMethodOrderer
{
    public IReadOnlyCollection<TTestMethod?> OrderTestMethods<TTestMethod>(IReadOnlyCollection<TTestMethod?> testMethods)
        where TTestMethod : ITestMethod
    {
        var inOrder = testMethods.OrderBy(m => m?.MethodName, StringComparer.Ordinal);
        return [.. Environment.GetEnvironmentVariable("BUILDTRACK_ORDER") == "reverse" ? inOrder.Reverse() : inOrder];
    }
}
