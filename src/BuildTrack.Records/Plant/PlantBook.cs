using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Plant;

/// <summary>What the plant sets for itself.</summary>
/// <param name="Prefix">Of certificate numbers.</param>
/// <param name="FirstNumber">First running number of a year in which none was taken yet.</param>
/// <param name="TimeZone">IANA name.</param>
/// <param name="FirstNonconformance">First number of a nonconformance, where none was raised yet.</param>
/// <param name="DueDays">From how many days before its end on a calibration is due.</param>
public sealed record PlantSettings(string Name, string Prefix, int FirstNumber, string TimeZone, int FirstNonconformance = 1, int DueDays = 30)
{
    public static PlantSettings Unset { get; } = new("The plant", "CERT", 1, "UTC");
}

public sealed class PlantReader(Store store)
{
    public async Task<PlantSettings> Get(CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        return await Get(db, ct);
    }

    /// <summary>The plant's clock.</summary>
    public async Task<PlantTime> Time(CancellationToken ct) => new((await Get(ct)).TimeZone);

    internal static async Task<PlantSettings> Get(Db db, CancellationToken ct) =>
        await db.Plants.AsNoTracking().SingleOrDefaultAsync(ct) is { } row ? new PlantSettings(row.Name, row.Prefix, row.FirstNumber, row.TimeZone, row.FirstNonconformance, row.DueDays) : PlantSettings.Unset;

    internal static async Task<PlantTime> Time(Db db, CancellationToken ct) => new((await Get(db, ct)).TimeZone);
}

public sealed class PlantActs(ActRunner acts)
{
    public Task<ActReceipt> Set(Caller who, PlantSettings request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.SetPlant, request, key, async act =>
        {
            var faults = MachineActs.Texts(("name", request.Name), ("prefix", request.Prefix), ("time zone", request.TimeZone));
            if (request.Prefix.Length > 10 || !request.Prefix.All(char.IsAsciiLetterOrDigit))
            {
                faults.Add(new InputFault("prefix", $"'{request.Prefix}'", "1 to 10 letters or digits"));
            }

            if (request.FirstNumber is < 1 or > 9999)
            {
                faults.Add(new InputFault("first number", FormattableString.Invariant($"{request.FirstNumber}"), "1 to 9999"));
            }

            if (request.FirstNonconformance is < 1 or > 999_999)
            {
                faults.Add(new InputFault("first nonconformance", FormattableString.Invariant($"{request.FirstNonconformance}"), "1 to 999999"));
            }

            if (request.DueDays is < 0 or > 366)
            {
                faults.Add(new InputFault("days before a calibration is due", FormattableString.Invariant($"{request.DueDays}"), "0 to 366"));
            }

            if (!TimeZoneInfo.TryFindSystemTimeZoneById(request.TimeZone, out _))
            {
                faults.Add(new InputFault("time zone", $"'{request.TimeZone}'", "an IANA name like Europe/Vienna"));
            }

            MachineActs.Throw(faults);
            var row = await act.Db.Plants.SingleOrDefaultAsync(ct);
            if (row is null)
            {
                act.Db.Plants.Add(new PlantRow { Id = 1, Name = request.Name, Prefix = request.Prefix, FirstNumber = request.FirstNumber, TimeZone = request.TimeZone, FirstNonconformance = request.FirstNonconformance, DueDays = request.DueDays });
            }
            else
            {
                (row.Name, row.Prefix, row.FirstNumber, row.TimeZone, row.FirstNonconformance, row.DueDays) =
                    (request.Name, request.Prefix, request.FirstNumber, request.TimeZone, request.FirstNonconformance, request.DueDays);
            }

            return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, "plant"), "plant", request);
        }, ct);
}
