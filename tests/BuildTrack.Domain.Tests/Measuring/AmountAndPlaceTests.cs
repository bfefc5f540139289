using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Domain.Tests.Measuring;

public sealed class AmountAndPlaceTests
{
    [Theory]
    [InlineData("0.100 mm", 100)]
    [InlineData("30 µm", 30)]
    [InlineData("-1.5 m", -1_500_000)]
    [InlineData("+2 µm", 2)]
    public void A_length_is_read_as_micrometres(string text, double micrometres)
    {
        Assert.True(Amount.TryParse(text, out var amount));
        Assert.Equal(micrometres, amount.Micrometres);
        Assert.Equal(micrometres, amount.Calculated);
    }

    [Theory]
    [InlineData("3 µm/m", 3)]
    [InlineData("0.48 K", 0.48)]
    [InlineData("-2 %", -2)]
    [InlineData("0 1", 0)]
    public void Another_quantity_stays_in_its_own_unit(string text, double value)
    {
        Assert.True(Amount.TryParse(text, out var amount));
        Assert.Equal(value, amount.Calculated);
        Assert.Throws<InvalidOperationException>(() => amount.Micrometres);
    }

    [Theory]
    [InlineData("")]
    [InlineData("30")]
    [InlineData("30µm")]
    [InlineData("0,1 mm")]
    [InlineData("1 000 µm")]
    [InlineData("1e3 µm")]
    [InlineData("30 um")]
    [InlineData("30 inch")]
    [InlineData("NaN µm")]
    [InlineData("µm 30")]
    public void What_is_no_amount_is_not_read(string text) => Assert.False(Amount.TryParse(text, out _));

    [Fact]
    public void An_amount_is_written_as_it_was_stated()
    {
        Assert.True(Amount.TryParse("0.100 mm", out var amount));
        Assert.Equal("0.100 mm", amount.ToString());
    }

    [Theory]
    [InlineData("R1-04", PlaceKind.At, "R1-04", null)]
    [InlineData("R1-04→R1-05", PlaceKind.Between, "R1-04", "R1-05")]
    [InlineData("whole", PlaceKind.Whole, null, null)]
    public void One_text_for_one_place(string key, PlaceKind kind, string? from, string? to)
    {
        var place = Place.Parse(key);
        Assert.Equal((kind, from, to), (place.Kind, place.From, place.To));
        Assert.Equal(key, place.Key);
        Assert.Equal(place, new Place(kind, from, to));
    }

    [Fact]
    public void The_hash_of_a_reading_covers_everything_it_says()
    {
        var reading = Support.Make.Reading(7, "C1", 1.5);
        Reading[] changed =
        [
            reading with { Id = 8 }, reading with { Place = Place.At("C2") }, reading with { Place = Place.Between("C1", "C2") }, reading with { Column = "y" },
            reading with { Value = reading.Value with { Typed = "1.50" } }, reading with { Value = reading.Value with { Unit = "mm" } }, reading with { Value = reading.Value with { Nanometres = 1501 } },
            reading with { Value = reading.Value with { Number = 1 } }, reading with { Value = reading.Value with { FileHash = "f" } }, reading with { Value = reading.Value with { Kind = ValueKind.Text } },
            reading with { At = new(reading.At.Microseconds + 1) }, reading with { Person = "tea" }, reading with { Route = EntryRoute.Gauge }, reading with { Supersedes = 1 }, reading with { Reason = "r" },
        ];
        Assert.Equal(changed.Length + 1, changed.Append(reading).Select(r => r.Hash).Distinct().Count());
    }

    [Fact]
    public void The_gradient_is_the_largest_difference_at_one_place()
    {
        Assert.Equal(0.5m, new Conditions(20, [20.3m, 20.0m], [20.1m, 20.5m], null).Gradient);
        Assert.Null(new Conditions(20, [], [], null).Gradient);
        Assert.Null(new Conditions(20, [20m], [20m, 20m], null).Gradient);
    }

    [Fact]
    public void Everybody_with_a_hand_in_a_run_is_named_once()
    {
        var run = Support.Make.GoodPass(1) with { Helpers = ["tea", "tom"], Discarded = new Discarded("ina", Support.Make.Noon, "door") };
        run = run with { Readings = [.. run.Readings, Support.Make.Reading(99, "C1", 1, person: "ivo", supersedes: 100)] };
        Assert.Equal(["ina", "ivo", "tea", "tom"], run.Hands.Order(StringComparer.Ordinal));
    }

    [Theory]
    [InlineData("mm", "µm", true)]
    [InlineData("kW", "W", true)]
    [InlineData("arcsec", "mm/m", true)]
    [InlineData("div", "div", true)]
    [InlineData("div", "µm/m", false)]
    [InlineData("µm/m", "div", false)]
    [InlineData("s", "min", false)]
    [InlineData("mm", "W", false)]
    [InlineData("thou", "mm", false)]
    public void Units_convert_within_their_quantity_and_divisions_into_nothing(string from, string to, bool convertible) =>
        Assert.Equal(convertible, Units.Convertible(from, to));
}
