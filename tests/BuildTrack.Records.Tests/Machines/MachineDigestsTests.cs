using System.Collections.Concurrent;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.Machines;

/// <summary>A machine is read once for every version of it, however many ask and whenever they do.</summary>
public sealed class MachineDigestsTests
{
    private sealed record First(string Serial, long Version);

    private sealed record Second(string Serial, long Version);

    [Theory, OnBoth]
    public async Task What_was_prepared_is_there_for_the_first_who_asks_and_a_changed_machine_is_made_anew_for_all(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("D-1");
        await plant.Order("D-2");
        var made = new ConcurrentBag<string>();
        var digests = plant.Get<MachineDigests>();
        digests.Needs((machine, _) => { made.Add($"first {machine.Serial}"); return new First(machine.Serial, machine.Version); });
        digests.Needs((machine, _) => { made.Add($"second {machine.Serial}"); return new Second(machine.Serial, machine.Version); });
        await digests.Prepare(default);
        string[] all = ["first D-1", "first D-2", "second D-1", "second D-2"];
        Assert.Equal(all, made.Order());

        await digests.Prepare(default);
        var before = await digests.Of<First>((_, _) => throw new InvalidOperationException("made already"), default);
        Assert.Equal(["D-1", "D-2"], before.Select(f => f.Serial));
        Assert.Equal(all, made.Order());

        await plant.ChangeBed("D-1");
        var after = await digests.Of<Second>((_, _) => throw new InvalidOperationException("the first derivation stays"), default);
        Assert.Equal(["first D-1", "first D-1", "first D-2", "second D-1", "second D-1", "second D-2"], made.Order());
        Assert.True(after[0].Version > before[0].Version);
        Assert.Equal(after[1].Version, before[1].Version);
    }

    [Theory, OnBoth]
    public async Task Who_asks_while_it_is_prepared_waits_for_the_same_reading(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        for (var n = 1; n <= 6; n++)
        {
            await plant.Order($"D-{n}");
        }

        var made = new ConcurrentBag<string>();
        var digests = plant.Get<MachineDigests>();
        digests.Needs((machine, _) => { made.Add(machine.Serial); Thread.Sleep(20); return new First(machine.Serial, machine.Version); });
        await Task.WhenAll(Task.Run(() => digests.Prepare(default)), Task.Run(Ask), Task.Run(Ask));
        Assert.Equal(["D-1", "D-2", "D-3", "D-4", "D-5", "D-6"], made.Order());

        async Task Ask() => Assert.Equal(6, (await digests.Of<First>((_, _) => throw new InvalidOperationException("the first derivation stays"), default)).Length);
    }
}
