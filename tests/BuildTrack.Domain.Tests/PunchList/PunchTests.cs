using BuildTrack.Domain.Machines;
using BuildTrack.Domain.PunchList;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.Tests.Support;

namespace BuildTrack.Domain.Tests.PunchList;

public sealed class PunchTests
{
    private static readonly PunchItem Item = new(700, 1, "door scratches the frame", PunchClass.B, "tom", false, "2026-03-20", "ina", Make.Noon, []);

    [Fact]
    public void The_owner_does_not_close_it_and_nobody_closes_it_twice()
    {
        Assert.Equal(PunchRules.OwnItem, PunchRules.WhyNot(Item, PunchAct.Close, "tom")!.Id);
        Assert.Null(PunchRules.WhyNot(Item, PunchAct.Close, "tea"));
        Assert.Null(PunchRules.WhyNot(Item with { Outside = true }, PunchAct.Close, "tom"));
        var closed = Item with { Entries = [new PunchEntry(701, PunchAct.Close, "tea", Make.Noon, "adjusted", null, null)] };
        Assert.Equal(PunchRules.ClosedAlready, PunchRules.WhyNot(closed, PunchAct.Close, "ina")!.Id);
        Assert.Equal(PunchRules.ClosedAlready, PunchRules.WhyNot(closed, PunchAct.ChangeClass, "ina", PunchClass.C)!.Id);
    }

    [Fact]
    public void The_class_follows_its_last_change()
    {
        Assert.Equal(PunchRules.SameClass, PunchRules.WhyNot(Item, PunchAct.ChangeClass, "ina", PunchClass.B)!.Id);
        Assert.Null(PunchRules.WhyNot(Item, PunchAct.ChangeClass, "ina", PunchClass.A));
        var changed = Item with
        {
            Entries = [new PunchEntry(701, PunchAct.ChangeClass, "ina", Make.Noon, "it jams", PunchClass.A, null), new PunchEntry(702, PunchAct.ChangeClass, "ina", Make.Noon, "shimmed", PunchClass.C, null)],
        };
        Assert.Equal((PunchClass.B, PunchClass.C), (Item.Class, changed.Class));
    }

    [Theory]
    [InlineData(PunchClass.A, "H1", false)]
    [InlineData(PunchClass.A, "H10", false)]
    [InlineData(PunchClass.A, "H11", true)]
    [InlineData(PunchClass.A, "H12", true)]
    [InlineData(PunchClass.A, "H14", true)]
    [InlineData(PunchClass.B, "H11", false)]
    [InlineData(PunchClass.C, "H14", false)]
    public void An_open_item_of_class_A_blocks_what_goes_to_the_customer(PunchClass of, string hold, bool blocked)
    {
        var machine = Make.Machine(Make.Measurement(1, 1, Make.GoodPass(2)));
        machine = machine with
        {
            Revision = machine.Revision with { Holds = [new(hold, 100, "Point")], Characteristics = [machine.Revision.Characteristics[0] with { Hold = hold }] },
            Punch = [Item with { FirstClass = of }],
        };
        Assert.Equal(blocked ? PunchRules.OpenClassA : null, ReleaseRules.WhyNotRelease(machine, machine.Revision.Holds[0], "ina")?.Id);
        Assert.Equal(of == PunchClass.A, PunchRules.WhyBlocked(machine)?.Sentence.Contains("item 1, door scratches the frame", StringComparison.Ordinal) == true);
        var done = machine with { Punch = [Item with { FirstClass = of, Entries = [new PunchEntry(701, PunchAct.Close, "tea", Make.Noon, "adjusted", null, null)] }] };
        Assert.Null(ReleaseRules.WhyNotRelease(done, done.Revision.Holds[0], "ina"));
        Assert.NotEqual(machine.SheetHash(hold), done.SheetHash(hold));
    }
}
