using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.ResultSeries;
using BuildTrack.Domain.Tests.Support;

namespace BuildTrack.Domain.Tests.ResultSeries;

/// <summary>Results over time. The rule is E_n of ISO 13528 (recalled, edition not read); numbers with whole answers, and a slow twin.</summary>
public sealed class SeriesStandingTests
{
    private static readonly EvaluationResult Nothing = EvaluationResult.Without(ResultState.NotMeasured, "µm", "nothing", new NextAction(NextKind.Record, "", []));

    private static EvaluationResult Found(double value, double? below, double? above, string unit = "µm") => Nothing with
    {
        State = ResultState.Calculated, Unit = unit, Value = value, ReachBelow = below, ReachAbove = above,
    };

    /// <summary>3, 4, 5: 40 reaches 3 up, the later result 4 down; a rise of 5 is E_n 1.00. A fall looks at the other sides.</summary>
    [Theory]
    [InlineData(40, 45, 1.0, false)]
    [InlineData(40, 46, 1.2, true)]
    [InlineData(40, 41, 0.2, false)]
    [InlineData(40, 34, -0.6, false)]
    [InlineData(40, 28, -1.2, true)]
    public void A_change_is_proven_beyond_what_both_reaches_explain(double before, double now, double en, bool proved)
    {
        // Up: √(3² + 4²) = 5; down: √(6² + 8²) = 10.
        var change = SeriesStanding.Change(Found(before, below: 6, above: 3), Found(now, below: 4, above: 8))!;
        Assert.Equal(now - before, change.Difference, 1e-12);
        Assert.Equal(now >= before ? 5 : 10, change.Reach, 1e-12);
        Assert.Equal(en, change.En, 1e-12);
        Assert.Equal(proved, change.Proved);
    }

    [Fact]
    public void Nothing_is_said_without_uncertainty_value_or_one_unit()
    {
        Assert.Null(SeriesStanding.Change(Found(1, null, null), Found(9, 1, 1)));
        Assert.Null(SeriesStanding.Change(Found(1, 1, 1), Found(9, null, 1)));
        Assert.Null(SeriesStanding.Change(Found(1, 0, 0), Found(9, 0, 0)));
        Assert.Null(SeriesStanding.Change(Found(1, double.NaN, double.NaN), Found(9, 1, 1)));
        Assert.Null(SeriesStanding.Change(Nothing, Found(9, 1, 1)));
        Assert.Null(SeriesStanding.Change(Found(1, 1, 1, "µm/m"), Found(9, 1, 1)));
        Assert.Equal(8, SeriesStanding.Change(Found(1, 0, 0), Found(9, 1, 1))!.En, 1e-12);
    }

    /// <summary>Twin by many pairs that have not changed, each normal with a reach of two standard deviations: told as changed as often as a normal quantity lies beyond two, 4.55 % (tables of the normal distribution).</summary>
    [Fact]
    public void What_has_not_changed_is_seldom_told_as_changed()
    {
        var random = new Random(61);
        double Normal() => Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
        var (told, pairs) = (0, 40_000);
        for (var i = 0; i < pairs; i++)
        {
            double first = 1 + (3 * random.NextDouble()), second = 1 + (3 * random.NextDouble());
            var change = SeriesStanding.Change(Found(50 + (first / 2 * Normal()), first, first), Found(50 + (second / 2 * Normal()), second, second))!;
            Assert.Equal(Math.Abs(change.Difference) > double.Hypot(first, second), change.Proved);
            told += change.Proved ? 1 : 0;
        }

        // Four standard deviations of the count to either side.
        Assert.InRange(told / (double)pairs, 0.0455 - 0.0042, 0.0455 + 0.0042);
    }

    [Fact]
    public void Every_released_result_and_the_current_one_stand_in_their_order()
    {
        var (machine, earlier) = Followed();
        Assert.Equal(["visit 1"], SeriesStanding.Earlier(machine));
        var series = Assert.Single(SeriesStanding.Of(machine, earlier));
        Assert.Equal([("100-01", 10.0), ("310-01", 18.0), ("310-01", 31.0)], series.Points.Select(p => (p.Agreed.Characteristic.Line, p.Value)));
        Assert.Equal([100, 310, 310], series.Points.Select(p => p.Step.Number));
        Assert.Equal([true, true, false], series.Points.Select(p => p.Released is not null));
        Assert.Equal([null, 8.0, 13.0], series.Points.Select(p => p.SinceBefore?.Difference));
        Assert.Equal([null, null, 21.0], series.Points.Select(p => p.SinceFirst?.Difference));
        Assert.Equal([false, true, true], series.Points.Select(p => p.SinceBefore is { Proved: true }));
    }

    [Fact]
    public void What_was_neither_released_nor_is_current_is_no_result_of_the_series()
    {
        var (machine, earlier) = Followed();
        var dropped = machine with { Decisions = [machine.Decisions[0]] };
        Assert.Equal([10.0, 31.0], SeriesStanding.Of(dropped, earlier).Single().Points.Select(p => p.Value));
        var none = machine with { Revision = machine.Revision with { Series = [new SeriesPlan("one", "One", ["flat", "gone"])] } };
        Assert.Empty(SeriesStanding.Of(none, earlier));
    }

    // A flatness in the plant, released; one at a first visit, released; one at the second visit that counts now.
    private static (MachineRecord Machine, ImmutableArray<StoredEvaluation> Earlier) Followed()
    {
        var run = Make.Run(1, 1, Make.Instrument("small difference", 1), Make.Corners.Zip(Make.Saddle(10), (s, z) => (s.Id, z)));
        var plain = Make.Machine(new Measurement(1, "s", null, 1, 1, null, Make.Noon, "tom", [run]));
        var visit = plain.Revision.Characteristics[0] with { Id = "visit", Line = "310-01", Hold = "H2" };
        var machine = plain with
        {
            Revision = plain.Revision with
            {
                Steps = [.. plain.Revision.Steps, plain.Revision.Steps[0] with { Number = 310, Name = "Follow-up" }],
                Characteristics = [.. plain.Revision.Characteristics, visit],
                Series = [new SeriesPlan("flatness", "Flatness", ["flat", "visit"])],
            },
        };
        StoredEvaluation Stored(long id, string line, string hash, double value) =>
            new(id, line, hash, new Instant(Make.Noon.Microseconds + id), plain.Evaluations[0].Record with { Result = Found(value, 2, 2) });
        HoldDecision Released(long id, string hold, string hash) => new(id, hold, HoldDecisionKind.Released, "ida", Make.Noon, null, "sheet", [hash], id);
        return (
            machine with { Evaluations = [Stored(900, "100-01", "plant", 10), Stored(930, "310-01", "visit 2", 31)], Decisions = [Released(901, "H1", "plant"), Released(911, "H2", "visit 1")] },
            [Stored(910, "310-01", "visit 1", 18)]);
    }
}
