using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Revisions;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Tests.Revisions;

/// <summary>What differs between two revisions. Expected texts are our own words for changes made by hand.</summary>
public sealed class RevisionChangesTests
{
    // Read from the type, so that a property added to a checklist must be told too. Hash and edition head the comparison.
    private static readonly Type[] Things =
    [
        typeof(RouteStep), typeof(RequiredPhoto), typeof(WorkCentre), typeof(HoldPoint), typeof(CertificateScope), typeof(MachineModel), typeof(LayoutPlan), typeof(Survey), typeof(Column),
        typeof(Characteristic), typeof(LimitSet), typeof(Requirement), typeof(LimitTable), typeof(LimitTableRow), typeof(InvalidationRule), typeof(ReworkTrigger), typeof(CorrectionFigure), typeof(ComponentPlan), typeof(Qualification),
        typeof(HoursRange), typeof(StepWait), typeof(Shift), typeof(KitPlan), typeof(KitPart), typeof(SeriesPlan),
    ];

    public static TheoryData<string> Properties => [.. Plan.Properties.Keys];

    [Fact]
    public void Every_property_of_every_part_has_its_case() =>
        Assert.Equal(Things.SelectMany(t => t.GetConstructors().Single(c => c.GetParameters().Length > 1).GetParameters().Select(p => $"{t.Name}.{p.Name}")).Order(StringComparer.Ordinal), Plan.Properties.Keys);

    [Fact]
    public void Every_part_of_a_revision_is_one_of_those_gone_through() =>
        Assert.Equal(
            Things.Except([typeof(RequiredPhoto), typeof(Column), typeof(Requirement), typeof(LimitTableRow), typeof(HoursRange), typeof(StepWait), typeof(Shift), typeof(KitPlan), typeof(KitPart), typeof(SeriesPlan)]).Select(t => t.Name).Order(StringComparer.Ordinal),
            typeof(ChecklistRevision).GetConstructors().Single(c => c.GetParameters().Length > 1).GetParameters().Where(p => p.ParameterType.IsGenericType)
                .Select(p => p.ParameterType.GetGenericArguments()[0].Name).Order(StringComparer.Ordinal));

    [Theory]
    [MemberData(nameof(Properties))]
    public void A_changed_property_is_told_in_words(string property)
    {
        var (change, told) = Plan.Properties[property];
        var found = RevisionChanges.Between(Plan.Edition, change(Plan.Edition)).Select(Told).ToArray();
        Assert.NotEmpty(found);
        Assert.All(told.Split('|'), expected => Assert.Contains(expected, found));
    }

    [Theory]
    [MemberData(nameof(Properties))]
    public void The_way_back_is_the_same_with_was_and_becomes_exchanged(string property)
    {
        var other = Plan.Properties[property].Change(Plan.Edition);
        Assert.Equal(RevisionChanges.Between(Plan.Edition, other).Select(Back), RevisionChanges.Between(other, Plan.Edition));
    }

    [Fact]
    public void Whether_own_measurements_are_released_is_a_rule_of_the_company_and_approved_with_a_reason()
    {
        var change = Assert.Single(RevisionChanges.Between(Plan.Edition, Plan.Edition with { OwnReleases = true }));
        Assert.Equal("CompanyRule own measurements are released by: somebody who did not measure > anybody with the role", Told(change));
        Assert.True(RevisionChanges.NeedsReason(change));
        Assert.False(RevisionChanges.NeedsReason(Assert.Single(RevisionChanges.Between(Plan.Edition, Plan.Properties["HoldPoint.Name"].Change(Plan.Edition)))));
    }

    [Fact]
    public void A_revision_compared_with_itself_has_no_change() => Assert.Empty(RevisionChanges.Between(Plan.Edition, Plan.Edition));

    [Fact]
    public void The_order_of_the_files_the_edition_and_zeros_at_the_end_of_a_number_are_no_change()
    {
        var same = Plan.With("bed-flatness", q => q with { Upper = new Amount(0.05000m, "mm") }) with
        {
            Hash = new string('2', 64),
            Edition = "B",
            Steps = [.. Plan.Edition.Steps.Reverse()],
            Characteristics = [.. Plan.Edition.Characteristics.Reverse()],
            WorkCentres = [.. Plan.Edition.WorkCentres.Reverse()],
        };
        Assert.Empty(RevisionChanges.Between(Plan.Edition, same));
    }

    [Fact]
    public void Limits_come_first_and_steps_go_by_number()
    {
        var later = Plan.Properties["Requirement.Upper"].Change(Plan.Edition) with
        {
            Steps = [.. Plan.Edition.Steps.Select(s => s with { WorkCentre = "outside" })],
            WorkCentres = [],
        };
        Assert.Equal(["class B bed-flatness", "90", "100", "bench", "mill"], RevisionChanges.Between(Plan.Edition, later).Select(c => c.Id));
    }

    public static TheoryData<decimal?, string, decimal?, string, LimitDirection?> UpperLimits => new()
    {
        { 0.050m, "mm", 0.040m, "mm", LimitDirection.Tighter },
        { 0.050m, "mm", 60m, "µm", LimitDirection.Looser },
        { 0.050m, "mm", 50m, "µm", null },
        { null, "mm", 5m, "mm", LimitDirection.Tighter },
        { 5m, "mm", null, "mm", LimitDirection.Looser },
        { 5m, "W", 6m, "V", null },
    };

    [Theory]
    [MemberData(nameof(UpperLimits))]
    public void An_upper_limit_that_comes_down_is_tighter_and_a_lower_one_looser(decimal? was, string unitWas, decimal? becomes, string unit, LimitDirection? expected)
    {
        var (a, b) = (was is { } w ? new Amount(w, unitWas) : null, becomes is { } n ? new Amount(n, unit) : null);
        Assert.Equal(expected, Direction(q => q with { Upper = a }, q => q with { Upper = b }));
        // Without a lower limit everything below is accepted, so setting one is tighter as well.
        var mirrored = a is null || b is null ? expected : expected switch { LimitDirection.Tighter => LimitDirection.Looser, LimitDirection.Looser => LimitDirection.Tighter, _ => expected };
        Assert.Equal(mirrored, Direction(q => q with { Upper = null, Lower = a }, q => q with { Upper = null, Lower = b }));
    }

    [Theory]
    [InlineData(DecisionRule.Simple, DecisionRule.OneSided95, LimitDirection.Tighter)]
    [InlineData(DecisionRule.OneSided95, DecisionRule.Guarded, LimitDirection.Tighter)]
    [InlineData(DecisionRule.Guarded, DecisionRule.Simple, LimitDirection.Looser)]
    public void A_rule_that_leaves_more_to_the_uncertainty_is_tighter(DecisionRule was, DecisionRule becomes, LimitDirection expected) =>
        Assert.Equal(expected, Direction(q => q with { Rule = was }, q => q with { Rule = becomes }));

    [Fact]
    public void A_limit_that_goes_over_to_a_table_has_no_direction()
    {
        var changes = RevisionChanges.Between(Plan.Edition, Plan.With("bed-flatness", q => q with { Upper = null, Table = "edge-table", Over = "thickness" }));
        Assert.Equal(["upper limit", "table", "table entered with"], changes.Select(c => c.What));
        Assert.All(changes, c => Assert.Null(c.Direction));
    }

    [Theory]
    [InlineData(11)]
    [InlineData(12)]
    [InlineData(13)]
    public void Whatever_is_changed_is_told_and_mirrored(int seed)
    {
        var random = new Random(seed);
        var all = Plan.Properties.ToArray();
        for (var round = 0; round < 300; round++)
        {
            var (a, b) = (Mutated(Plan.Edition), Mutated(Plan.Edition));
            var there = RevisionChanges.Between(a, b);
            Assert.Equal(there.Select(Back), RevisionChanges.Between(b, a));
            Assert.Empty(RevisionChanges.Between(a, a));
            Assert.Equal(there.Length, there.Select(c => (c.Part, c.Id, c.What)).Distinct().Count());
            Assert.All(there, c => Assert.NotEqual(c.Was, c.Becomes));
            Assert.True(there.Select(c => c.Part).SequenceEqual(there.Select(c => c.Part).Order()), $"parts out of order, seed {seed}");
        }

        ChecklistRevision Mutated(ChecklistRevision revision)
        {
            // Changes that need what another one took away are left out; the limits' ones begin from the plan itself.
            foreach (var (_, (change, _)) in Enumerable.Range(0, random.Next(4)).Select(_ => all[random.Next(all.Length)]))
            {
                try
                {
                    revision = change(revision);
                }
                catch (Exception e) when (e is ArgumentOutOfRangeException or IndexOutOfRangeException)
                {
                    return revision;
                }
            }

            return revision;
        }
    }

    private static LimitDirection? Direction(Func<Requirement, Requirement> was, Func<Requirement, Requirement> becomes)
    {
        var changes = RevisionChanges.Between(Plan.With("bed-flatness", was), Plan.With("bed-flatness", becomes));
        return changes.Length == 0 ? null : Assert.Single(changes).Direction;
    }

    private static string Told(RevisionChange c) => $"{c.Part} {c.Id} {c.What}: {c.Was ?? "null"} > {c.Becomes ?? "null"}{(c.Direction is { } d ? $", {d}" : "")}";

    private static RevisionChange Back(RevisionChange c) => c with
    {
        Was = c.Becomes,
        Becomes = c.Was,
        Direction = c.Direction switch { LimitDirection.Tighter => LimitDirection.Looser, LimitDirection.Looser => LimitDirection.Tighter, _ => null },
    };
}
