using BuildTrack.Domain.Rules;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.Acts;

/// <summary>Looking for a number or a name.</summary>
public sealed class FinderTests
{
    [Theory, OnBoth]
    public async Task A_number_or_a_part_of_a_name_is_found_in_small_and_capital_letters(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("FND-1");
        var number = (await plant.Release(TestPlant.Inspector, "FND-1")).Certificate!;
        await plant.Order("FND-2");
        async Task<IEnumerable<string>> Find(string text) => (await plant.Get<Finder>().Find(text, default)).Select(t => $"{t.Kind.ToString().ToLowerInvariant()} {t.Id}");

        Assert.Equal(["machine FND-1", "machine FND-2"], await Find("fnd-"));
        Assert.Equal(["machine FND-2"], await Find("  nd-2 "));
        Assert.Contains("instrument HGT-02", await Find("hgt-0"));
        Assert.Equal([$"certificate {number}"], await Find(number.ToLowerInvariant()));
        Assert.Empty(await Find("%%"));
        Assert.Empty(await Find("NCR-9999"));
        Assert.Equal("text", (await Assert.ThrowsAsync<BadInputException>(() => Find("x"))).Faults.Single().Where);
        await Assert.ThrowsAsync<BadInputException>(() => Find(new string('x', 101)));
    }
}
