using BuildTrack.Records.Files;
using BuildTrack.Records.Storage;
using Hangfire;
using Microsoft.AspNetCore.Http;
using Microsoft.EntityFrameworkCore;

namespace Samples.Arrows;

/// <summary>A type that calculates and reads a record.</summary>
public sealed class CalculatesFromTheDatabase
{
    private readonly Store? store;

    public object? Store => store;
}

/// <summary>Only inside a method, and only in an instruction.</summary>
public sealed class QueriesInside
{
    public static int Count(object db) => ((DbContext)db).ChangeTracker.Entries().Count();
}

/// <summary>Only inside a lambda, which the compiler puts into a type of its own.</summary>
public sealed class KnowsTheWebInside
{
    public static Func<object, string> Path => o => ((HttpContext)o).Request.Path.ToString();
}

/// <summary>Only as an argument of a generic type.</summary>
public sealed class HoldsFiles
{
    public List<FileStore> All { get; } = [];
}

public sealed class EnqueuesByItself
{
    public static void Go(IBackgroundJobClient jobs) => jobs.Enqueue(() => Console.Write(""));
}
