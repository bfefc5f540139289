using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.StepFiles;
using BuildTrack.Domain.Tests.Support;

namespace BuildTrack.Domain.Tests.StepFiles;

/// <summary>A file that shows a run, one of its places, or a nonconformance.</summary>
public sealed class FileOfTests
{
    private const long Run = 2;

    private static readonly MachineRecord Machine = Ncr.Seen(Ncr.Machine(10));

    [Fact]
    public void What_names_nothing_belongs_to_the_step_alone()
    {
        Assert.Null(FileOf.Sent(null, " ", null));
        Assert.Equal(new FileOf(Run, "C1", null), FileOf.Sent(Run, " C1 ", null));
        Assert.Equal(new FileOf(null, null, 39), FileOf.Sent(null, "", 39));
    }

    [Fact]
    public void A_run_a_place_and_a_nonconformance_of_the_step_are_sound_and_named()
    {
        foreach (var (of, words) in new[]
        {
            (new FileOf(Run, null, null), "run 1 of Heights"), (new FileOf(Run, "C3", null), "run 1 of Heights, C3"), (new FileOf(null, null, 39), "NCR-0039"),
        })
        {
            Assert.Empty(of.Faults(Machine, 100));
            Assert.Equal(words, of.InWords(Machine));
        }

        Assert.Empty(new FileOf(null, null, 40).Faults(Ncr.Seen(Machine, step: null, number: 40), 100));
    }

    [Theory]
    [InlineData(Run, null, 39, 100, "run and nonconformance", "run 2 and NCR-0039", "one of them, or neither")]
    [InlineData(7L, null, null, 100, "run", "run 7", "the id of a run of X-1")]
    [InlineData(Run, null, null, 110, "run", "run 2, run 1 of Heights, of step 100", "a run of step 110, or step 100")]
    [InlineData(Run, "C5", null, 100, "place", "'C5'", "one of C1, C2, C3, C4")]
    [InlineData(null, "C1", null, 100, "place", "'C1'", "the run that it is a place of, or no place")]
    [InlineData(null, "C1", 39, 100, "place", "'C1'", "the run that it is a place of, or no place")]
    [InlineData(null, null, 41, 100, "nonconformance", "NCR-0041", "one of X-1: NCR-0039")]
    [InlineData(null, null, 39, 110, "nonconformance", "NCR-0039 of step 100", "a nonconformance of step 110, or step 100")]
    public void What_is_not_of_the_machine_and_step_is_said_with_what_was_expected(long? run, string? place, int? nonconformance, int step, string where, string found, string expected) =>
        Assert.Equal([new InputFault(where, found, expected)], new FileOf(run, place, nonconformance).Faults(Machine, step));

    [Fact]
    public void A_place_between_stations_is_one_that_was_read_where_any_pair_may_be()
    {
        var survey = Machine.Revision.Surveys.Single() with { Places = PlaceKind.Between };
        var revision = Machine.Revision with { Surveys = [survey] };
        var run = Machine.Measurements[0].Runs[0];
        MachineRecord With(params Reading[] readings) =>
            Machine with { Revision = revision, Measurements = [Machine.Measurements[0] with { Runs = [run with { Readings = [.. readings] }] }] };

        var read = With(run.Readings[0] with { Place = Place.Between("C1", "C2") });
        Assert.Empty(new FileOf(Run, "C1→C2", null).Faults(read, 100));
        Assert.Equal("one of C1→C2", new FileOf(Run, "C2→C3", null).Faults(read, 100).Single().Expected);
        Assert.Equal("none: nothing was read in run 1 yet", new FileOf(Run, "C1→C2", null).Faults(With(), 100).Single().Expected);
    }

    [Fact]
    public void A_machine_without_nonconformances_says_so() =>
        Assert.Equal("none: X-1 has no nonconformance", new FileOf(null, null, 39).Faults(Ncr.Machine(10), 100).Single().Expected);

    [Fact]
    public void Of_a_file_of_the_step_alone_the_hash_is_what_it_was_and_what_it_belongs_to_changes_it()
    {
        var alone = new StepFile(70, 100, "clamps", "Clamp pattern", "c.jpg", "image/jpeg", 3, new string('a', 64), "tom", Make.Noon);
        var before = CanonicalJson.Hash(CanonicalJson.Of(new { alone.Id, alone.Step, alone.Subject, alone.Shows, alone.Name, alone.MediaType, alone.Size, alone.Hash, alone.Person, alone.At }));
        Assert.Equal(before, alone.RowHash);
        ImmutableArray<FileOf> others = [new(Run, null, null), new(3, null, null), new(Run, "C1", null), new(null, null, 2)];
        Assert.Equal(others.Length + 1, others.Select(o => (alone with { Of = o }).RowHash).Append(before).Distinct().Count());
    }

    [Fact]
    public void The_files_of_a_run_and_of_a_nonconformance_are_found()
    {
        StepFile File(long id, FileOf? of) => new(id, 100, null, "dent", "d.jpg", "image/jpeg", 3, new string('a', 64), "tom", Make.Noon, null, of);
        var machine = Machine with { Files = [File(70, null), File(71, new(Run, "C1", null)), File(72, new(3, null, null)), File(73, new(Run, null, null)), File(74, new(null, null, 39))] };
        Assert.Equal([71, 73], FileRules.OfRun(machine, Run).Select(f => f.Id));
        Assert.Equal([74], FileRules.OfNonconformance(machine, 39).Select(f => f.Id));
        Assert.Equal(5, FileRules.At(machine, 100).Length);
    }
}
