using System.Text.Json;
using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Tests.Support;
using BuildTrack.Metrology.Uncertainty;
using BuildTrack.Metrology.Verdicts;
using static BuildTrack.Metrology.Tests.Support.Refusal;

namespace BuildTrack.Metrology.Tests.Uncertainty;

/// <summary>Risks of JCGM 106:2012 and the figures of ILAC-G8:09/2019.</summary>
public sealed class ConformityRiskTests
{
    private static readonly ReferenceFile Risk = ReferenceFile.Load("conformity-risk");

    [Fact]
    public void The_specific_risk_is_what_the_published_probability_of_conformity_leaves()
    {
        var file = ReferenceFile.Load("acc-conformity");
        var one = file.At("JCGM106_7.3.3_ex1");
        file.Reaches(
            1 - one.GetProperty("recomputed").GetDouble(),
            ConformityRisk.Specific(one.GetProperty("y").GetDouble(), new(one.GetProperty("TU").GetDouble(), null), one.GetProperty("u").GetDouble()),
            "published_pc", "7.3.3");
        var two = file.At("JCGM106_7.4");
        var risk = ConformityRisk.Specific(
            two.GetProperty("y").GetDouble(), new(two.GetProperty("TU").GetDouble(), two.GetProperty("TL").GetDouble()), two.GetProperty("u").GetDouble());
        Assert.Equal(two.GetProperty("published_pc").GetDouble(), Math.Round(1 - risk, 2));
        Agreement.Near(1 - two.GetProperty("recomputed").GetDouble(), risk, 1e-9, "7.4");
    }

    [Fact]
    public void An_accepted_item_is_wrong_in_up_to_half_the_cases_without_guard_band_and_under_two_and_a_half_per_cent_with_one_of_U()
    {
        // ILAC-G8:09/2019: w = 0 up to 50 %, w = U (k = 2) under 2.5 %; both at the acceptance limit itself.
        var tolerance = new Conformity.Limits(0.1, null);
        const double u = 0.005;
        var simple = ConformityRisk.AcceptanceLimits(tolerance, 0);
        Assert.Equal(0.5, ConformityRisk.Specific(simple.Upper!.Value, tolerance, u));
        var guarded = ConformityRisk.AcceptanceLimits(tolerance, 2 * u);
        var risk = ConformityRisk.Specific(guarded.Upper!.Value, tolerance, u);
        Assert.True(risk < 0.025);
        Agreement.Near(ReferenceFile.Load("acc-conformity").Number("guard_bands", "w_equals_2u_risk_at_limit"), risk, 1e-9, "w = 2u");
    }

    [Fact]
    public void A_tolerance_at_the_mean_has_the_quadrants_of_sheppard()
    {
        foreach (var row in Risk.At("quadrants").EnumerateArray())
        {
            var limits = new Conformity.Limits(7, null);
            var found = ConformityRisk.Global(7, 3 * row.GetProperty("sigma").GetDouble(), 3 * row.GetProperty("u").GetDouble(), limits, limits);
            var expected = row.GetProperty("risk").GetDouble();
            Agreement.Near(expected, found.ConsumerRisk, ConformityRisk.Accuracy, "consumer");
            Agreement.Near(expected, found.ProducerRisk, ConformityRisk.Accuracy, "producer");
            Agreement.Near(0.5, found.Accepted, ConformityRisk.Accuracy, "accepted");
            Assert.Equal(0.5, found.Conforming);
        }
    }

    [Fact]
    public void The_constructed_productions_have_the_risks_of_another_integration()
    {
        foreach (var row in Risk.At("cases").EnumerateArray())
        {
            var (tolerance, acceptance) = (Limits(row, "tolerance"), Limits(row, "acceptance"));
            var found = ConformityRisk.Global(Number(row, "mean"), Number(row, "sigma"), Number(row, "u"), tolerance, acceptance);
            Risk.Reaches(Number(row, "consumer"), found.ConsumerRisk, "recomputed", row.GetProperty("name").GetString()!);
            Risk.Reaches(Number(row, "producer"), found.ProducerRisk, "recomputed", row.GetProperty("name").GetString()!);
        }
    }

    [Fact]
    public void Drawn_items_with_drawn_errors_are_wrongly_accepted_and_rejected_as_often()
    {
        const ulong seed = 7201;
        var source = new SeededSource(seed);
        const int items = 400_000;
        for (var trial = 0; trial < 12; trial++)
        {
            double mean = source.NextNormal(), sigma = 0.2 + source.NextUniform(), u = 0.05 + source.NextUniform(),
                upper = mean + (2 * sigma * source.NextUniform());
            double? lower = trial % 3 == 0 ? null : upper - (0.5 + (4 * source.NextUniform()));
            var tolerance = new Conformity.Limits(upper, lower);
            var acceptance = ConformityRisk.AcceptanceLimits(tolerance, 0.2 * source.NextNormal() * Math.Min(u, 0.5));
            var risk = ConformityRisk.Global(mean, sigma, u, tolerance, acceptance);
            int consumer = 0, producer = 0, accepted = 0, conforming = 0;
            for (var i = 0; i < items; i++)
            {
                var truth = mean + (sigma * source.NextNormal());
                var measured = truth + (u * source.NextNormal());
                bool good = truth <= upper && !(truth < lower), taken = measured <= acceptance.Upper && !(measured < acceptance.Lower);
                consumer += taken && !good ? 1 : 0;
                producer += good && !taken ? 1 : 0;
                accepted += taken ? 1 : 0;
                conforming += good ? 1 : 0;
            }

            foreach (var (expected, count, what) in new[]
            {
                (risk.ConsumerRisk, consumer, "consumer"), (risk.ProducerRisk, producer, "producer"), (risk.Accepted, accepted, "accepted"),
                    (risk.Conforming, conforming, "conforming"),
            })
            {
                Agreement.Near(expected, (double)count / items, 1e-5 + (4.5 * Math.Sqrt(expected * (1 - expected) / items)),
                    $"seed {seed}, trial {trial}, {what}");
            }

            // What is conforming is accepted or wrongly rejected; what is accepted conforms or is wrongly accepted.
            Agreement.Near(risk.Accepted - risk.ConsumerRisk, risk.Conforming - risk.ProducerRisk, 3e-6, $"seed {seed}, trial {trial}, both right");
        }
    }

    [Fact]
    public void A_wider_guard_band_takes_risk_from_the_customer_and_gives_it_to_the_maker()
    {
        var tolerance = new Conformity.Limits(1, -1);
        GlobalRisk? before = null;
        foreach (var w in new[] { -0.4, -0.2, 0, 0.1, 0.2, 0.3, 0.4 })
        {
            var risk = ConformityRisk.Global(0.1, 0.5, 0.2, tolerance, ConformityRisk.AcceptanceLimits(tolerance, w));
            Assert.True(before is null || (risk.ConsumerRisk < before.ConsumerRisk && risk.ProducerRisk > before.ProducerRisk));
            before = risk;
        }

        // A measurement that is nearly exact makes no wrong decision; one that is worthless decides by chance.
        Assert.True(ConformityRisk.Global(0.1, 0.5, 1e-6, tolerance, tolerance) is { ConsumerRisk: < 1e-6, ProducerRisk: < 1e-6 });
        var chance = ConformityRisk.Global(0, 1, 1e6, new(0, null), new(0, null));
        Agreement.Near(0.25, chance.ConsumerRisk, 2e-6, "worthless measurement");

        // Mirrored about zero, nothing changes.
        var one = ConformityRisk.Global(0.3, 0.5, 0.2, new(1, -0.7), new(0.9, -0.6));
        var mirrored = ConformityRisk.Global(-0.3, 0.5, 0.2, new(0.7, -1), new(0.6, -0.9));
        Agreement.Near(one.ConsumerRisk, mirrored.ConsumerRisk, ConformityRisk.Accuracy, "mirrored");
        Agreement.Near(one.ProducerRisk, mirrored.ProducerRisk, ConformityRisk.Accuracy, "mirrored");
    }

    [Fact]
    public void A_tolerance_far_from_the_production_leaves_no_risk_to_the_customer_but_rejects_nothing_good()
    {
        var far = ConformityRisk.Global(0, 1, 0.1, new(1000, null), new(999, null));
        Assert.Equal((0.0, 0.0, 1.0, 1.0), (far.ConsumerRisk, far.ProducerRisk, far.Conforming, far.Accepted));
        var never = ConformityRisk.Global(0, 1, 0.1, new(-1000, null), new(-1001, null));
        Assert.Equal((0.0, 0.0, 0.0, 0.0), (never.ConsumerRisk, never.ProducerRisk, never.Conforming, never.Accepted));
    }

    [Fact]
    public void Numbers_that_are_none_and_limits_that_do_not_belong_together_are_refused_by_name()
    {
        var limits = new Conformity.Limits(1, -1);
        foreach (var bad in new[] { double.NaN, double.PositiveInfinity, 0, -1 })
        {
            Refused("standard uncertainty", () => ConformityRisk.Specific(0, limits, bad));
            Refused("standard uncertainty", () => ConformityRisk.Global(0, 1, bad, limits, limits));
            Refused("process standard deviation", () => ConformityRisk.Global(0, bad, 1, limits, limits));
        }

        Refused("process mean", () => ConformityRisk.Global(double.NaN, 1, 1, limits, limits));
        Refused("guard band", () => ConformityRisk.AcceptanceLimits(limits, double.NaN));
        Refused("below the lower limit", () => ConformityRisk.AcceptanceLimits(limits, 1.5));
        Refused("no limit", () => ConformityRisk.Specific(0, new(null, null), 1));
        Refused("upper limit", () => ConformityRisk.Global(0, 1, 1, new(double.NaN, null), limits));
        Refused("other sides", () => ConformityRisk.Global(0, 1, 1, limits, new(1, null)));
        Refused("over process standard deviation", () => ConformityRisk.Global(0, 1e-9, 1, limits, limits));
    }

    private static Conformity.Limits Limits(JsonElement row, string name) => new(Limit(row.GetProperty(name)[1]), Limit(row.GetProperty(name)[0]));

    private static double? Limit(JsonElement at) => at.ValueKind == JsonValueKind.Null ? null : at.GetDouble();

    private static double Number(JsonElement at, string name) => at.GetProperty(name).GetDouble();
}
