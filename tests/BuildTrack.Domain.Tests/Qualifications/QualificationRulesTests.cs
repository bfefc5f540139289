using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Qualifications;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.Tests.Support;

namespace BuildTrack.Domain.Tests.Qualifications;

/// <summary>Who may do special work on which day. Expected answers are worked out by hand; sentences are our own words.</summary>
public sealed class QualificationRulesTests
{
    private static readonly MachineRecord Machine = Make.Machine(Make.Measurement(1, 1, Make.GoodPass(2))) is var m ? m with
    {
        Revision = m.Revision with
        {
            Qualifications = [new Qualification("electrician", "Electrician", "Tests", "test")],
            Holds = [.. m.Revision.Holds.Select(h => h with { Qualified = "electrician" })],
            Steps = [.. m.Revision.Steps.Select(s => s with { Qualified = "electrician" })],
        },
    } : throw new InvalidOperationException();

    private static ListEntry Entry(long id, string from, string to, string? off = null, string person = "ina", string list = "electrician") =>
        new(id, list, person, from, to, "K-1", "ada", Make.Noon, off is null ? null : new TakenOff("ada", Make.Noon, off, "left the trade"));

    private static QualifiedPeople On(string day, params ListEntry[] entries) => new([.. entries], day);

    private static BrokenRule? Release(QualifiedPeople? people) => ReleaseRules.WhyNotRelease(Machine, Machine.Revision.Holds[0], "ina", people);

    /// <summary>First and last day count; the day before, the day after and another list or person do not.</summary>
    [Theory]
    [InlineData("2026-03-01", true)]
    [InlineData("2026-03-31", true)]
    [InlineData("2026-02-28", false)]
    [InlineData("2026-04-01", false)]
    public void Both_days_of_an_entry_count(string day, bool may)
    {
        var entry = Entry(1, "2026-03-01", "2026-03-31");
        Assert.Equal(may ? null : QualificationRules.NotOnList, Release(On(day, entry))?.Id);
        Assert.Equal(may ? ["ina"] : [], On(day, entry).On("electrician").Select(e => e.Person));
        Assert.Equal(QualificationRules.NotOnList, Release(On(day, entry with { Person = "ivo" }))?.Id);
        Assert.Equal(QualificationRules.NotOnList, Release(On(day, entry with { List = "welder" }))?.Id);
    }

    [Fact]
    public void Nobody_asked_for_is_nobody_on_the_list() => Assert.Equal(QualificationRules.NotOnList, Release(null)?.Id);

    [Fact]
    public void The_refusal_tells_who_which_list_and_since_or_until_when()
    {
        string Says(params ListEntry[] entries) => Release(On("2026-03-10", entries))!.Sentence;
        const string Asked = "H1 Bed of X-1 is released by somebody on the list \"Electrician\"; ";
        Assert.Equal(Asked + "ina is not on it.", Says());
        Assert.Equal(Asked + "ina was on it from 2025-01-01 until 2026-03-09.", Says(Entry(1, "2025-01-01", "2026-03-09")));
        Assert.Equal(Asked + "ina is on it from 2026-03-11 on.", Says(Entry(1, "2025-01-01", "2026-03-09"), Entry(2, "2026-03-11", "2027-03-11")));
        Assert.Equal(Asked + "ina was taken off it on 2026-03-05 by ada: left the trade.", Says(Entry(1, "2024-01-01", "2024-12-31"), Entry(2, "2026-01-01", "2026-12-31", "2026-03-05")));
    }

    [Fact]
    public void Who_is_taken_off_may_nothing_from_that_moment_unless_a_further_entry_covers_the_day()
    {
        var off = Entry(1, "2026-01-01", "2026-12-31", "2026-03-10");
        Assert.Equal(QualificationRules.NotOnList, Release(On("2026-03-10", off))?.Id);
        Assert.Null(Release(On("2026-03-10", off, Entry(2, "2026-03-10", "2026-03-10"))));
    }

    [Fact]
    public void Work_and_readings_ask_for_their_own_list_and_where_none_is_asked_for_anybody_may()
    {
        var (step, survey) = (Machine.Revision.Steps[0], Machine.Revision.Surveys[0]);
        var nobody = QualifiedPeople.Nobody;
        Assert.Equal("The work of step 100 Verify of X-1 is begun and finished by somebody on the list \"Electrician\"; tom is not on it.", QualificationRules.WhyNotWork(Machine, step, "tom", nobody)!.Sentence);
        Assert.Null(QualificationRules.WhyNotMeasure(Machine, survey, "tom", nobody));
        Assert.Equal(QualificationRules.NotOnList, QualificationRules.WhyNotMeasure(Machine, survey with { Qualified = "electrician" }, "tom", nobody)!.Id);
        Assert.Null(QualificationRules.WhyNotWork(Machine, step, "ina", On("2026-03-10", Entry(1, "2026-03-01", "2026-03-31"))));
    }

    /// <summary>The own-measurement rule stands for people on the list too.</summary>
    [Fact]
    public void A_qualification_does_not_let_anybody_release_what_they_measured() =>
        Assert.Equal(ReleaseRules.OwnMeasurement, ReleaseRules.WhyNotRelease(Machine, Machine.Revision.Holds[0], "tom", On("2026-03-10", Entry(1, "2026-01-01", "2026-12-31", person: "tom")))?.Id);

    [Fact]
    public void Days_that_are_covered_already_are_refused_a_renewal_is_not()
    {
        var list = Machine.Revision.Qualifications[0];
        var people = On("2026-03-10", Entry(1, "2026-01-01", "2026-12-31"), Entry(2, "2027-01-01", "2027-12-31", "2026-02-01"));
        Assert.Equal(QualificationRules.OnListAlready, QualificationRules.WhyNotPutOn(people, list, "ina", "2026-02-01", "2026-12-31")?.Id);
        Assert.Null(QualificationRules.WhyNotPutOn(people, list, "ina", "2026-02-01", "2027-01-01"));
        Assert.Null(QualificationRules.WhyNotPutOn(people, list, "ina", "2027-02-01", "2027-03-01"));
        Assert.Null(QualificationRules.WhyNotPutOn(people, list, "ivo", "2026-02-01", "2026-12-31"));
        Assert.Equal(QualificationRules.TakenOffAlready, QualificationRules.WhyNotTakeOff(people.Entries[1], "2026-03-10")?.Id);
        Assert.Equal(QualificationRules.TakenOffAlready, QualificationRules.WhyNotTakeOff(people.Entries[0], "2027-01-01")?.Id);
        Assert.Null(QualificationRules.WhyNotTakeOff(people.Entries[0], "2026-12-31"));
    }

    [Fact]
    public void Days_left_are_counted_to_the_last_day_and_the_longest_entry_speaks()
    {
        var people = On("2026-02-27", Entry(1, "2026-01-01", "2026-03-01"), Entry(2, "2026-01-01", "2026-02-27"));
        Assert.Equal([2, 0], people.Entries.Select(people.DaysLeft));
        Assert.Equal("2026-03-01", Assert.Single(people.On("electrician")).To);
        Assert.Equal(-1, On("2026-03-02").DaysLeft(people.Entries[0]));
    }

    /// <summary>Seeded: for whatever entries, a person may on a day exactly if a slow look at every entry says so.</summary>
    [Fact]
    public void A_slow_look_at_every_entry_says_the_same()
    {
        var random = new Random(20261128);
        var (yes, no) = (0, 0);
        for (var round = 0; round < 2000; round++)
        {
            DateOnly Day() => new DateOnly(2026, 1, 1).AddDays(random.Next(60));
            string Text(DateOnly day) => day.ToString("yyyy-MM-dd", System.Globalization.CultureInfo.InvariantCulture);
            var drawn = Enumerable.Range(1, random.Next(4)).Select(i => (From: Day(), Length: random.Next(30), Off: random.Next(4) == 0, Person: random.Next(2) == 0 ? "ina" : "ivo", Id: i)).ToArray();
            var day = Day();
            var slow = false;
            foreach (var (from, length, off, person, _) in drawn)
            {
                for (var d = 0; d <= length; d++)
                {
                    slow |= !off && person == "ina" && from.AddDays(d) == day;
                }
            }

            var people = On(Text(day), [.. drawn.Select(d => Entry(d.Id, Text(d.From), Text(d.From.AddDays(d.Length)), d.Off ? Text(d.From) : null, d.Person))]);
            Assert.Equal(slow, Release(people) is null);
            (yes, no) = slow ? (yes + 1, no) : (yes, no + 1);
        }

        Assert.True(yes > 200 && no > 200, $"{yes} allowed, {no} refused");
    }
}
