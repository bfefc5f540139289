using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.Temperatures;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Plant;
using BuildTrack.Records.Storage;

namespace BuildTrack.Records.Temperatures;

/// <summary>Temperatures before measuring: probes compared on a block, and rounds of a bed.</summary>
public sealed class TemperatureActs(ActRunner acts)
{
    private const int MostRepeats = 20, MostPlaces = 12;

    /// <summary>Records one round of a bed; offsets of the day's comparison are taken out.</summary>
    public Task<TemperatureReceipt> Round(Caller who, RecordRoundRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.RecordTemperatures, request, key, async act =>
        {
            var machine = await MachineReader.Load(act.Db, request.Serial, ct);
            var time = await PlantReader.Time(act.Db, ct);
            var day = time.Day(act.Now);
            List<InputFault> faults = [];
            var entry = new TemperatureEntry(faults);
            CheckPlaces(machine, request, faults);
            decimal[] top = [.. request.Top.Select((t, i) => entry.Celsius(FormattableString.Invariant($"top {i + 1}"), t))];
            decimal[] bottom = [.. request.Bottom.Select((t, i) => entry.Celsius(FormattableString.Invariant($"bottom {i + 1}"), t))];
            decimal? air = string.IsNullOrWhiteSpace(request.Air) ? null : entry.Celsius("air", request.Air);
            var probes = await entry.Probes(act.Db, request.TopProbes.Concat(request.BottomProbes), day, ct);
            MachineActs.Throw(faults);
            var compared = await TemperatureReader.ComparisonOf(act.Db, day, ct);
            if (TemperatureRules.WhyNotRound(compared, probes.Keys) is { } rule)
            {
                throw new RefusedException(rule);
            }

            var round = TemperatureRound.Of(
                act.NewId(), request.Step, day, who.Person, act.Now, air, [.. top.Select((t, i) => (t, bottom[i], probes[request.TopProbes[i]], probes[request.BottomProbes[i]]))], compared,
                string.IsNullOrWhiteSpace(request.Note) ? null : request.Note.Trim());
            act.Db.TemperatureRounds.Add(new TemperatureRoundRow
            {
                Id = round.Id, Serial = request.Serial, Step = round.Step, Day = day, Person = who.Person, AtUs = act.Now.Microseconds, Round = CanonicalJson.Of(round),
            });
            await act.Touch(request.Serial, ct);
            var sentence = GradientStanding.Of(machine with { Temperatures = machine.Temperatures.Add(round) }, request.Step).Sentence(time);
            return new ActResult<TemperatureReceipt>(new TemperatureReceipt(act.Sequence, round.Id, sentence), request.Serial, new { request, round });
        }, ct);

    /// <summary>Records a comparison of probes on one block. Where some disagree it is recorded all the same, and they are named.</summary>
    public Task<TemperatureReceipt> Compare(Caller who, CompareProbesRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.RecordTemperatures, request, key, async act =>
        {
            var day = (await PlantReader.Time(act.Db, ct)).Day(act.Now);
            List<InputFault> faults = [];
            var entry = new TemperatureEntry(faults);
            var step = entry.Step(request.Step);
            CheckRepeats(request, faults);
            var probes = await entry.Probes(act.Db, request.Probes.Select(p => p.Probe), day, ct);
            var read = request.Probes.Select(p => p.Read.Select((t, i) => OnStep(entry, faults, FormattableString.Invariant($"{p.Probe} reading {i + 1}"), t, step)).ToImmutableArray()).ToArray();
            MachineActs.Throw(faults);
            var compared = ComparedProbes.Of(act.NewId(), day, who.Person, act.Now, step, [.. request.Probes.Select((p, i) => (probes[p.Probe], read[i]))]);
            act.Db.ProbeComparisons.Add(new ProbeComparisonRow { Id = compared.Id, Day = day, Person = who.Person, AtUs = act.Now.Microseconds, Comparison = CanonicalJson.Of(compared) });
            return new ActResult<TemperatureReceipt>(new TemperatureReceipt(act.Sequence, compared.Id, compared.Sentence), "probes", new { request, compared });
        }, ct);

    private static decimal OnStep(TemperatureEntry entry, List<InputFault> faults, string where, string typed, decimal step)
    {
        var value = entry.Celsius(where, typed);
        if (step > 0 && value % step != 0)
        {
            faults.Add(new InputFault(where, FormattableString.Invariant($"{value} °C"), FormattableString.Invariant($"a multiple of the display's step of {step} K")));
        }

        return value;
    }

    private static void CheckRepeats(CompareProbesRequest request, List<InputFault> faults)
    {
        if (request.Probes.Length < 2)
        {
            faults.Add(new InputFault("probes", FormattableString.Invariant($"{request.Probes.Length}"), "two or more on one block"));
        }

        faults.AddRange(request.Probes.GroupBy(p => p.Probe).Where(g => g.Count() > 1).Select(g => new InputFault("probes", $"{g.Key} twice", "each probe once, with all its readings")));
        var repeats = request.Probes.IsEmpty ? 0 : request.Probes[0].Read.Length;
        foreach (var probe in request.Probes)
        {
            if (probe.Read.Length is < 2 or > MostRepeats)
            {
                faults.Add(new InputFault($"readings of {probe.Probe}", FormattableString.Invariant($"{probe.Read.Length}"), FormattableString.Invariant($"2 to {MostRepeats}: the scatter comes from the repeats")));
            }
            else if (probe.Read.Length != repeats)
            {
                faults.Add(new InputFault($"readings of {probe.Probe}", FormattableString.Invariant($"{probe.Read.Length}"), FormattableString.Invariant($"{repeats}, as of {request.Probes[0].Probe}: all probes are read in turn")));
            }
        }
    }

    private static void CheckPlaces(MachineRecord machine, RecordRoundRequest request, List<InputFault> faults)
    {
        var steps = TemperatureRules.StepsOf(machine.Revision);
        if (!steps.Contains(request.Step))
        {
            faults.Add(new InputFault("step", FormattableString.Invariant($"{request.Step}"), steps.IsEmpty ? "a step whose surveys ask for bed temperatures; there is none" : $"one of {string.Join(", ", steps)}: their surveys ask for bed temperatures"));
        }

        var pairs = TemperatureRules.PairsOf(machine.Model);
        if (request.Top.Length != request.Bottom.Length)
        {
            faults.Add(new InputFault("bed temperatures", $"{request.Top.Length} at the top, {request.Bottom.Length} at the bottom", "as many at the bottom as at the top, below the same places"));
        }
        else if (request.Top.Length < pairs || request.Top.Length > MostPlaces)
        {
            faults.Add(new InputFault("bed temperatures", $"{request.Top.Length} pairs", $"{pairs} to {MostPlaces} pairs top and bottom for class {machine.Model.Class}"));
        }

        foreach (var (name, probes, read) in new[] { ("probes at the top", request.TopProbes, request.Top), ("probes at the bottom", request.BottomProbes, request.Bottom) })
        {
            if (probes.Length != read.Length)
            {
                faults.Add(new InputFault(name, FormattableString.Invariant($"{probes.Length}"), FormattableString.Invariant($"{read.Length}, one for each reading")));
            }
        }

        if (request.Note?.Length > 500)
        {
            faults.Add(new InputFault("note", FormattableString.Invariant($"{request.Note.Length} characters"), "at most 500"));
        }
    }
}
