using System.Globalization;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Instruments;

/// <summary>What is entered in the register itself.</summary>
public sealed class InstrumentActs(ActRunner acts)
{
    private const int LongestText = 200;

    /// <summary>Enters an instrument, or its next state. Runs keep the state that stood when they began.</summary>
    public Task<ActReceipt> Register(Caller who, RegisterInstrumentRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.RegisterInstrument, request, key, async act =>
        {
            var entry = request.Entry;
            MachineActs.Throw(Faults(entry));
            var row = await act.Db.Instruments.AsNoTracking().Where(i => i.Id == entry.Id).OrderByDescending(i => i.Revision).FirstOrDefaultAsync(ct);
            entry = entry with { Revision = (row?.Revision ?? 0) + 1, NeedsCheck = entry.NeedsCheck == true ? true : null };
            if (InstrumentRules.WhyNotEnter(row is null ? null : CanonicalJson.Read<RegisterEntry>(row.Entry), entry) is { } rule)
            {
                throw new RefusedException(rule);
            }

            act.Db.Instruments.Add(new InstrumentRow { Id = entry.Id, Revision = entry.Revision, Entry = CanonicalJson.Of(entry), AtUs = act.Now.Microseconds, By = who.Person });
            return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, entry.Id), entry.Id, entry);
        }, ct);

    private static List<InputFault> Faults(RegisterEntry entry)
    {
        var faults = MachineActs.Texts(
            ("instrument number", entry.Id), ("name", entry.Name), ("serial", entry.Serial), ("quantity", entry.Quantity), ("certificate", entry.Certificate));
        foreach (var (where, day) in new[] { ("calibrated on", entry.CalibratedOn), ("valid to", entry.ValidTo) })
        {
            if (!DateOnly.TryParseExact(day, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out _))
            {
                faults.Add(new InputFault(where, $"'{day}'", "a date like 2026-11-25"));
            }
        }

        if (faults.Count == 0 && string.CompareOrdinal(entry.ValidTo, entry.CalibratedOn) < 0)
        {
            faults.Add(new InputFault("valid to", entry.ValidTo, $"{entry.CalibratedOn} or later"));
        }

        if (!Units.Known.Contains(entry.Unit))
        {
            faults.Add(new InputFault("unit", $"'{entry.Unit}'", string.Join(", ", Units.Known)));
        }

        faults.AddRange(new[] { ("reason of the interval", entry.IntervalReason), ("laboratory", entry.Laboratory), ("range", entry.Range), ("holder", entry.Holder) }
            .Where(t => t.Item2?.Length > LongestText).Select(t => new InputFault(t.Item1, FormattableString.Invariant($"{t.Item2!.Length} characters"), FormattableString.Invariant($"at most {LongestText}"))));
        faults.AddRange(new[] { ("error as found", entry.AsFound), ("error as left", entry.AsLeft) }
            .Where(a => a.Item2 is { } amount && Units.Calculated(amount.Unit) != Units.Calculated(entry.Unit))
            .Select(a => new InputFault(a.Item1, $"{a.Item2}", $"a value in a unit like {entry.Unit}")));
        if (entry.Division is { } division && (Units.Calculated(division.Unit) != "µm/m" || division.Unit == "div" || division.Value <= 0))
        {
            faults.Add(new InputFault("worth of a division", division.ToString(), "a slope above 0, like 20 µm/m"));
        }

        if (entry.Digit is { } digit && (Units.Calculated(digit.Unit) != Units.Calculated(entry.Unit) || (digit.Unit == "div" && entry.Division is null) || digit.Value <= 0))
        {
            faults.Add(new InputFault("smallest digit", digit.ToString(), $"a step above 0 in a unit like {entry.Unit}"));
        }

        foreach (var figure in entry.Figures)
        {
            var where = $"uncertainty for '{figure.Use}'";
            if (figure.A.Value < 0 || figure.A.Calculated + (figure.BPerMetre?.Calculated ?? 0) <= 0)
            {
                faults.Add(new InputFault(where, figure.A.ToString(), "more than 0"));
            }

            if (figure.K is not (>= 1 and <= 4))
            {
                faults.Add(new InputFault($"{where}, k", figure.K.ToString(CultureInfo.InvariantCulture), "1 to 4"));
            }

            if (figure.DegreesOfFreedom is not null and not (>= 1 and <= 1e6))
            {
                faults.Add(new InputFault($"{where}, degrees of freedom", figure.DegreesOfFreedom.Value.ToString(CultureInfo.InvariantCulture), "1 or more; nothing where the uncertainty is known well"));
            }

            if (figure.UpToMm is not null and not (> 0 and < 1e6))
            {
                faults.Add(new InputFault($"{where}, up to", figure.UpToMm.Value.ToString(CultureInfo.InvariantCulture), "a distance in mm above 0"));
            }

            faults.AddRange(new[] { figure.A, figure.BPerMetre, figure.Random, figure.Common }.OfType<Amount>()
                .Where(a => Units.Calculated(a.Unit) != Units.Calculated(entry.Unit) || a.Value < 0)
                .Select(a => new InputFault(where, a.ToString(), $"a value of at least 0 in a unit like {entry.Unit}")));
        }

        return faults;
    }
}
