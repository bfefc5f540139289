using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Revisions;
using BuildTrack.Domain.Tests.Support;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Tests.Revisions;

/// <summary>A bed of 10 µm with U = 2 µm under a limit of 30 µm, and what a later revision would make of it.</summary>
public sealed class LimitEffectsTests
{
    private static readonly MachineRecord Measured = Make.Machine(Make.Measurement(10, 1, Make.GoodPass(11)));

    [Fact]
    public void The_same_limit_touches_no_machine() => Assert.Empty(LimitEffects.Of(Measured, Measured.Revision with { Hash = "another", Edition = "B" }));

    [Fact]
    public void Another_origin_or_edition_or_unit_of_the_same_number_touches_no_machine() =>
        Assert.Empty(LimitEffects.Of(Measured, Later(q => q with { Origin = "contract", Edition = "D", Upper = new(0.030m, "mm") })));

    // The deviations of the saddle are 10 µm exactly by construction; guarded acceptance takes U = 2 µm and more off the limit.
    [Theory]
    [InlineData(25, Verdict.Accepted, false)]
    [InlineData(10.5, Verdict.NotProven, true)]
    [InlineData(2, Verdict.Rejected, true)]
    public void A_result_is_shown_as_it_would_be_and_stays_what_it_is(double limit, Verdict would, bool differs)
    {
        var before = CanonicalJson.Of(Measured);
        var effect = Assert.Single(LimitEffects.Of(Measured, Later(q => q with { Upper = Make.Um(limit) })));
        Assert.Equal(("X-1", "100-01", "accepted"), (effect.Serial, effect.Line, effect.Standing));
        Assert.Equal(10, effect.Value!.Value, 6);
        Assert.Equal(2, effect.ExpandedUncertainty);
        Assert.Equal(Verdict.Accepted, effect.Verdict);
        Assert.Equal(would, effect.WouldBe);
        Assert.Equal(differs, effect.Differs);
        Assert.Contains("10.0 µm", effect.Because, StringComparison.Ordinal);
        Assert.Equal(30, effect.Was.Upper!.Calculated);
        Assert.Equal(limit, effect.Becomes!.Upper!.Calculated);
        Assert.Equal(before, CanonicalJson.Of(Measured));
    }

    [Fact]
    public void What_is_not_measured_has_no_result_to_show()
    {
        var effect = Assert.Single(LimitEffects.Of(Make.Machine(), Later(q => q with { Upper = Make.Um(25) })));
        Assert.Equal("not measured", effect.Standing);
        Assert.False(effect.Calculated || effect.Differs);
        Assert.Null(effect.WouldBe);
    }

    [Fact]
    public void A_result_to_be_repeated_does_not_count()
    {
        var remilled = Measured with { Changes = [new BedChange(60, "re-mill", "0.1 mm", "tom", Make.Noon)] };
        var effect = Assert.Single(LimitEffects.Of(remilled, Later(q => q with { Upper = Make.Um(2) })));
        Assert.Equal("to be repeated", effect.Standing);
        Assert.Null(effect.Value);
        Assert.Null(effect.WouldBe);
    }

    [Fact]
    public void What_the_order_states_itself_is_not_touched()
    {
        var order = new OrderTerm("flat", Make.Um(28), null, null, null, "contract annex 2", "1", "maren", "agreed");
        var machine = Make.Evaluated(Measured with { Order = [order] });
        Assert.Empty(LimitEffects.Of(machine, Later(q => q with { Upper = Make.Um(2) })));
        var rule = Assert.Single(LimitEffects.Of(machine, Later(q => q with { Rule = DecisionRule.Simple })));
        Assert.Equal(28, rule.Becomes!.Upper!.Calculated);
    }

    [Fact]
    public void Another_reference_is_a_change_of_the_limit()
    {
        var revision = Measured.Revision;
        var effect = Assert.Single(LimitEffects.Of(Measured, revision with { Characteristics = [revision.Characteristics[0] with { Reference = "minimum-zone" }] }));
        Assert.Equal(("least-squares", "minimum-zone"), (effect.ReferenceWas, effect.ReferenceBecomes));
        Assert.Equal(Verdict.Accepted, effect.WouldBe);
    }

    [Fact]
    public void A_check_that_is_no_longer_there_or_a_model_is_told()
    {
        foreach (var later in new[] { Measured.Revision with { Characteristics = [] }, Measured.Revision with { Limits = [] }, Measured.Revision with { Models = [] } })
        {
            var effect = Assert.Single(LimitEffects.Of(Measured, later));
            Assert.Null(effect.Becomes);
            Assert.Equal("no longer checked", effect.Because);
            Assert.True(effect.Differs);
        }
    }

    [Fact]
    public void A_requirement_that_the_readings_cannot_answer_says_so()
    {
        var effect = Assert.Single(LimitEffects.Of(Measured, Later(q => q with { Upper = null, Lower = Make.Um(5) })));
        Assert.Null(effect.WouldBe);
        Assert.StartsWith("cannot be told from these readings", effect.Because, StringComparison.Ordinal);
    }

    private static ChecklistRevision Later(Func<Requirement, Requirement> change)
    {
        var set = Measured.Revision.Limits[0];
        return Measured.Revision with { Limits = [set with { Requirements = set.Requirements.SetItem("flat", change(set.Requirements["flat"])) }] };
    }
}
