using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;
using BuildTrack.Domain.Canonical;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.ChangeTracking;
using Microsoft.EntityFrameworkCore.Metadata;

namespace BuildTrack.Records.Acts;

/// <summary>Which rows an act's payload speaks for: every row with an id of ours that it adds or changes, whatever the table.</summary>
/// <remarks>A table that is new is held without a word about it here. A column without a value counts as not there, so that one may be added later: it must be able to be empty.</remarks>
public static class KeptRows
{
    // Readings, evaluations and files of steps are held by hashes of their own, which other records name; the outbox is work to be done and no record.
    private static readonly HashSet<Type> Otherwise = [typeof(ReadingRow), typeof(EvaluationRow), typeof(StepFileRow), typeof(OutboxRow)];

    // Rendering a certificate is no act: it adds the document to a number that was taken. What is made from a secret never enters the history, not even within another hash.
    private static readonly HashSet<(Type, string)> Outside =
    [
        (typeof(CertificateRow), nameof(CertificateRow.Stage)), (typeof(CertificateRow), nameof(CertificateRow.FileHash)), (typeof(CertificateRow), nameof(CertificateRow.CopyHash)),
        (typeof(TabletRow), nameof(TabletRow.SecretHash)), (typeof(BadgeRow), nameof(BadgeRow.SecretHash)), (typeof(PinRow), nameof(PinRow.PinHash)),
    ];

    /// <summary>Whether a table's rows are held.</summary>
    public static bool Holds(IReadOnlyEntityType type) =>
        type.FindPrimaryKey() is { Properties: [{ Name: "Id" } key] } && key.ClrType == typeof(long) && !Otherwise.Contains(type.ClrType);

    /// <summary>What the rows added or changed so far say; a row met again takes the place of what it said before.</summary>
    internal static void Gather(Db db, List<KeptRow> kept)
    {
        foreach (var entry in db.ChangeTracker.Entries().Where(e => e.State is EntityState.Added or EntityState.Modified && Holds(e.Metadata)))
        {
            var (table, id) = (entry.Metadata.GetTableName()!, IdOf(entry));
            kept.RemoveAll(k => k.Id == id && k.What == table);
            kept.Add(new KeptRow(table, id, "", HashOf(entry.Metadata, entry.Entity)));
        }
    }

    /// <summary>Hash over every column that has a value.</summary>
    /// <exception cref="ArgumentException">A column holds what no record may.</exception>
    internal static string HashOf(IReadOnlyEntityType type, object row)
    {
        var node = new JsonObject();
        foreach (var property in type.GetProperties().Where(p => !Outside.Contains((type.ClrType, p.Name))))
        {
            if (property.PropertyInfo!.GetValue(row) is { } value)
            {
                node[property.Name] = JsonSerializer.SerializeToNode(value, property.ClrType, CanonicalJson.Options);
            }
        }

        return CanonicalJson.Hash(CanonicalJson.Write(node));
    }

    internal static long IdOf(IReadOnlyEntityType type, object row) => Convert.ToInt64(type.FindProperty("Id")!.PropertyInfo!.GetValue(row), CultureInfo.InvariantCulture);

    private static long IdOf(EntityEntry entry) => IdOf(entry.Metadata, entry.Entity);
}
