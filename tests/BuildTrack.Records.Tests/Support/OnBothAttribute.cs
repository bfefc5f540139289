using System.Reflection;
using Xunit.Sdk;
using Xunit.v3;

namespace BuildTrack.Records.Tests.Support;

/// <summary>The databases that the product runs on.</summary>
public enum Database
{
    Sqlite,
    Postgres,
}

/// <summary>Runs a theory on both databases, with each of the further values.</summary>
[AttributeUsage(AttributeTargets.Method)]
public sealed class OnBothAttribute(params object[] further) : DataAttribute
{
    public object[] Further { get; } = further;

    public override ValueTask<IReadOnlyCollection<ITheoryDataRow>> GetData(MethodInfo testMethod, DisposalTracker disposalTracker)
    {
        List<ITheoryDataRow> rows = [];
        foreach (var on in new[] { Database.Sqlite, Database.Postgres })
        {
            rows.AddRange(Further.Length == 0 ? [new TheoryDataRow(on)] : Further.Select(f => new TheoryDataRow(on, f)));
        }

        return new(rows);
    }

    public override bool SupportsDiscoveryEnumeration() => true;
}
