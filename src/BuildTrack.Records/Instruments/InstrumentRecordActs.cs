using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Metrology.Statistics;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Plant;
using BuildTrack.Records.Storage;
using BuildTrack.Records.Surveys;

namespace BuildTrack.Records.Instruments;

/// <summary>What is done with an instrument itself: checks before use, reversals, gauge studies. Each is added and never changed.</summary>
public sealed class InstrumentRecordActs(ActRunner acts)
{
    /// <summary>Most readings of a study that is kept.</summary>
    public const int MostReadings = 2000;

    // Larger departures and slopes are typing errors; a decimal then cannot overflow on the way.
    private const decimal LargestNumber = 1_000_000_000m;

    /// <summary>Records a check before use, good or not.</summary>
    public Task<InstrumentReceipt> Check(Caller who, CheckInstrumentRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.CheckInstrument, request, key, async act =>
        {
            var (entry, day) = await Open(act, request.Instrument, ct);
            var faults = MachineActs.Texts(("reference", request.Reference));
            var found = AmountOf("departure found", request.Found, entry, faults, _ => true, "a departure with its sign");
            var limit = AmountOf("limit", request.Limit, entry, faults, v => v > 0, "a size above 0");
            MachineActs.Throw(faults);
            var check = new InstrumentCheck(act.NewId(), entry.Id, entry.Revision, day, who.Person, act.Now, request.Reference.Trim(), found!, limit!);
            return Keep(act, InstrumentRecordKind.Check, check.Id, entry.Id, check, check.Good, check.Sentence);
        }, ct);

    /// <summary>Records a reversal of a level.</summary>
    public Task<InstrumentReceipt> Reverse(Caller who, ReverseLevelRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.RecordReversal, request, key, async act =>
        {
            var (entry, day) = await Open(act, request.Instrument, ct);
            if (InstrumentRules.WhyNotReverse(entry) is { } rule)
            {
                throw new RefusedException(rule);
            }

            var faults = MachineActs.Texts(("place", request.Place));
            var first = AmountOf("first reading", request.First, entry, faults, _ => true, "a reading with its sign");
            var second = AmountOf("reading end for end", request.Second, entry, faults, _ => true, "a reading with its sign");
            MachineActs.Throw(faults);
            var reversal = LevelReversal.Of(act.NewId(), entry, day, who.Person, act.Now, request.Place.Trim(), first!, second!);
            return Keep(act, InstrumentRecordKind.Reversal, reversal.Id, entry.Id, reversal, true, $"zero error {Shown.Text(reversal.ZeroUmPerM, "µm/m")}, slope {Shown.Text(reversal.SlopeUmPerM, "µm/m")}");
        }, ct);

    /// <summary>Calculates a crossed gauge study and records it with its readings.</summary>
    public Task<InstrumentReceipt> Study(Caller who, GaugeStudyRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.RecordGaugeStudy, request, key, async act =>
        {
            var (entry, day) = await Open(act, request.Instrument, ct);
            var unit = string.IsNullOrWhiteSpace(request.Unit) ? entry.Unit : request.Unit.Trim();
            var faults = MachineActs.Texts(("what was studied", request.About));
            if (Units.Calculated(unit) != Units.Calculated(entry.Unit))
            {
                faults.Add(new InputFault("unit", $"'{unit}'", $"a unit like {entry.Unit}, which {entry.Id} shows"));
            }

            if (request.ToleranceWidth is { } width && width is not (> 0 and <= IndividualsChart.LargestNumber))
            {
                faults.Add(new InputFault("width of the tolerance", FormattableString.Invariant($"{width}"), "a width above 0"));
            }

            if (request.Readings.Length > MostReadings)
            {
                faults.Add(new InputFault("readings", FormattableString.Invariant($"{request.Readings.Length}"), FormattableString.Invariant($"at most {MostReadings}")));
            }

            MachineActs.Throw(faults);
            var study = new StoredGaugeStudy(act.NewId(), entry.Id, entry.Revision, day, who.Person, act.Now, request.About.Trim(), unit, request.ToleranceWidth, request.Readings, Calculate(request));
            return Keep(act, InstrumentRecordKind.GaugeStudy, study.Id, entry.Id, study, true, FormattableString.Invariant($"repeatability and reproducibility {100 * study.GaugeShare:0.#} % of all variation"));
        }, ct);

    private static GaugeStudyResult Calculate(GaugeStudyRequest request)
    {
        try
        {
            var result = GaugeStudy.Of(request.Readings, toleranceWidth: request.ToleranceWidth);
            return result.DefectSentence is { } defect ? throw new BadInputException("readings", defect, "every part by every person, as many repeats each") : result;
        }
        catch (ArgumentException e)
        {
            throw new BadInputException("readings", e.Message, "parts and persons by name, each repeat once, finite numbers");
        }
    }

    private static async Task<(RegisterEntry Entry, string Day)> Open(ActContext act, string instrument, CancellationToken ct) =>
        ((await InstrumentReader.Find(act.Db, instrument, ct) ?? throw new NotFoundException($"There is no instrument {instrument}.")).Entry, (await PlantReader.Time(act.Db, ct)).Day(act.Now));

    private static ActResult<InstrumentReceipt> Keep<T>(ActContext act, InstrumentRecordKind kind, long id, string instrument, T record, bool good, string sentence)
    {
        act.Db.InstrumentRecords.Add(new InstrumentRecordRow { Id = id, Instrument = instrument, Kind = (int)kind, Person = act.Who.Person, AtUs = act.Now.Microseconds, Detail = CanonicalJson.Of(record) });
        return new ActResult<InstrumentReceipt>(new InstrumentReceipt(act.Sequence, instrument, id, good, sentence), instrument, new { Record = record });
    }

    private static Amount? AmountOf(string where, string? typed, RegisterEntry entry, List<InputFault> faults, Func<decimal, bool> fits, string expected)
    {
        // A number alone is in the unit that the instrument shows.
        var text = (typed ?? "").Trim();
        if ((NumberText.TryAmount(text, out var amount) || NumberText.TryAmount($"{text} {entry.Unit}", out amount))
            && Math.Abs(amount.Value) <= LargestNumber && fits(amount.Value) && Units.Calculated(amount.Unit) == Units.Calculated(entry.Unit))
        {
            return amount;
        }

        faults.Add(new InputFault(where, text.Length == 0 ? "nothing" : $"'{(text.Length > 40 ? text[..40] + "…" : text)}'", $"{expected}, in {entry.Unit} or with a unit like it"));
        return null;
    }
}
