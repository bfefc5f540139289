using BuildTrack.Domain.Rules;
using BuildTrack.Records.LongWork;
using BuildTrack.Records.Storage;
using BuildTrack.Records.Tests.Support;
using Microsoft.Extensions.Logging.Abstractions;

namespace BuildTrack.Records.Tests.LongWork;

/// <summary>A long work is in one hand at a time, comes to its end once, and outlives whoever asked and whoever does it.</summary>
public sealed class LongWorkTests
{
    private const string Counting = "counting";

    [Theory, OnBoth]
    public async Task A_work_is_done_once_by_two_hosts_at_once_and_its_outcome_stays(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var asked = await plant.Get<LongWorkBook>().Ask(TestPlant.Technician, Counting, default);
        Assert.Equal((LongWorkState.Waiting, "tom.tech"), (asked.State, asked.Person));
        var times = 0;
        LongWorkKind kind = new(Counting, async (tell, _) =>
        {
            Interlocked.Increment(ref times);
            await tell(new Progress(1, 1, "things", 3, 4));
            return new { Counted = 4 };
        });
        var ended = await Task.WhenAll(Worker(plant, kind).Drain(default), Worker(plant, kind).Drain(default));
        Assert.Equal((1, 1), (ended.Sum(), times));
        var done = await plant.Get<LongWorkBook>().Find(asked.Work, default);
        Assert.Equal((LongWorkState.Done, "{\"counted\":4}", new Progress(1, 1, "things", 3, 4)), (done.State, done.Outcome, done.Progress));
        Assert.Equal(0, await Worker(plant, kind).Drain(default));
    }

    [Theory, OnBoth]
    public async Task While_one_of_a_kind_is_open_nobody_opens_another(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var books = Enumerable.Range(0, 8).Select(_ => plant.Server().GetService(typeof(LongWorkBook))).Cast<LongWorkBook>().ToList();
        var asked = await Task.WhenAll(books.Select(b => Task.Run(() => b.Ask(TestPlant.Technician, Counting, default))));
        Assert.Single(asked.Select(a => a.Work).Distinct());
        Assert.Equal(1, await plant.Count("LongWorks"));
        await plant.Get<LongWorkBook>().Cancel(TestPlant.Technician, asked[0].Work, default);
        Assert.NotEqual(asked[0].Work, (await plant.Get<LongWorkBook>().Ask(TestPlant.Technician, Counting, default)).Work);
    }

    [Theory, OnBoth]
    public async Task A_killed_hosts_work_is_taken_over_after_its_silence_and_what_the_dead_hand_still_says_counts_for_nothing(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var asked = await plant.Get<LongWorkBook>().Ask(TestPlant.Technician, Counting, default);
        var (reached, goOn) = (new TaskCompletionSource(), new TaskCompletionSource());
        LongWorkKind silent = new(Counting, async (_, _) =>
        {
            reached.SetResult();
            await goOn.Task;
            return new { By = "the dead hand" };
        });
        LongWorkKind sound = new(Counting, (_, _) => Task.FromResult<object>(new { By = "the next" }));
        var first = Worker(plant, silent).Drain(default);
        await reached.Task;
        plant.Clock.Advance(LongWorker.Silence - TimeSpan.FromSeconds(1));
        Assert.Equal(0, await Worker(plant, sound).Drain(default));
        Assert.Equal(LongWorkState.UnderWay, (await plant.Get<LongWorkBook>().Find(asked.Work, default)).State);
        plant.Clock.Advance(TimeSpan.FromSeconds(2));
        Assert.Equal(1, await Worker(plant, sound).Drain(default));
        goOn.SetResult();
        Assert.Equal(0, await first);
        Assert.Equal("{\"by\":\"the next\"}", (await plant.Get<LongWorkBook>().Find(asked.Work, default)).Outcome);
    }

    [Theory, OnBoth]
    public async Task Who_asked_or_an_administrator_cancels_and_the_hand_that_does_it_stops(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var book = plant.Get<LongWorkBook>();
        var asked = await book.Ask(TestPlant.Technician, Counting, default);
        var refused = await Assert.ThrowsAsync<RefusedException>(() => book.Cancel(TestPlant.OtherTechnician, asked.Work, default));
        Assert.Equal(LongWorkBook.NotYours, refused.Rule.Id);
        Assert.Contains("tom.tech", refused.Rule.Sentence, StringComparison.Ordinal);
        var after = false;
        LongWorkKind kind = new(Counting, async (tell, _) =>
        {
            await tell(new Progress(1, 2, "things", 0, 2));
            await book.Cancel(TestPlant.Administrator, asked.Work, default);
            await tell(new Progress(2, 2, "others", 0, 2));
            after = true;
            return new { };
        });
        Assert.Equal(0, await Worker(plant, kind).Drain(default));
        Assert.False(after);
        var line = await book.Find(asked.Work, default);
        Assert.Equal((LongWorkState.Cancelled, "ada.admin", null), (line.State, line.CancelledBy, line.Outcome));
        Assert.Equal(LongWorkBook.Ended, (await Assert.ThrowsAsync<RefusedException>(() => book.Cancel(TestPlant.Technician, asked.Work, default))).Rule.Id);
        await Assert.ThrowsAsync<NotFoundException>(() => book.Cancel(TestPlant.Technician, "none", default));
        Assert.Equal(0, await Worker(plant, kind).Drain(default));
    }

    [Theory, OnBoth]
    public async Task A_host_that_goes_leaves_the_work_to_the_next_one_at_once_and_that_is_no_failed_try(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var asked = await plant.Get<LongWorkBook>().Ask(TestPlant.Technician, Counting, default);
        for (var host = 0; host < 2 * LongWorker.MostTries; host++)
        {
            using var goes = new CancellationTokenSource();
            LongWorkKind broken = new(Counting, async (_, ct) =>
            {
                await goes.CancelAsync();
                ct.ThrowIfCancellationRequested();
                return new { };
            });
            await Assert.ThrowsAnyAsync<OperationCanceledException>(() => Worker(plant, broken).Drain(goes.Token));
            Assert.Equal(LongWorkState.Waiting, (await plant.Get<LongWorkBook>().Find(asked.Work, default)).State);
        }

        Assert.Equal(1, await Worker(plant, new LongWorkKind(Counting, (_, _) => Task.FromResult<object>(new { }))).Drain(default));
    }

    [Theory, OnBoth]
    public async Task A_work_that_fails_is_tried_again_later_and_then_given_up_with_its_reason(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var asked = await plant.Get<LongWorkBook>().Ask(TestPlant.Technician, Counting, default);
        var tries = 0;
        LongWorkKind kind = new(Counting, (_, _) => throw new InvalidOperationException($"no paper, try {++tries}"));
        for (var n = 1; n < LongWorker.MostTries; n++)
        {
            await Worker(plant, kind).Drain(default);
            await Worker(plant, kind).Drain(default);
            var line = await plant.Get<LongWorkBook>().Find(asked.Work, default);
            Assert.Equal((LongWorkState.Waiting, $"no paper, try {n}", n), (line.State, line.Fault, tries));
            plant.Clock.Advance(TimeSpan.FromSeconds(1 << n));
        }

        await Worker(plant, kind).Drain(default);
        var last = await plant.Get<LongWorkBook>().Find(asked.Work, default);
        Assert.Equal((LongWorkState.GivenUp, $"no paper, try {LongWorker.MostTries}"), (last.State, last.Fault));
        plant.Clock.Advance(TimeSpan.FromHours(1));
        Assert.Equal(0, await Worker(plant, kind).Drain(default));
        Assert.Equal(LongWorker.MostTries, tries);
    }

    [Theory, OnBoth]
    public async Task A_work_that_kills_its_host_each_time_is_given_up(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var asked = await plant.Get<LongWorkBook>().Ask(TestPlant.Technician, Counting, default);
        for (var n = 0; n < LongWorker.MostTries; n++)
        {
            var reached = new TaskCompletionSource();
            _ = Worker(plant, new LongWorkKind(Counting, async (_, _) =>
            {
                reached.SetResult();
                await new TaskCompletionSource().Task;
                return new { };
            })).Drain(default);
            await reached.Task;
            plant.Clock.Advance(LongWorker.Silence + TimeSpan.FromSeconds(1));
        }

        Assert.Equal(0, await Worker(plant, new LongWorkKind(Counting, (_, _) => Task.FromResult<object>(new { }))).Drain(default));
        var line = await plant.Get<LongWorkBook>().Find(asked.Work, default);
        Assert.Equal((LongWorkState.GivenUp, $"it was begun {LongWorker.MostTries} times and never came to its end"), (line.State, line.Fault));
    }

    private static LongWorker Worker(TestPlant plant, LongWorkKind kind) => new(plant.Get<Store>(), [kind], plant.Clock, NullLogger<LongWorker>.Instance);
}
