using BuildTrack.Records.Checklists;
using Xunit;

namespace BuildTrack.Records.Tests.Checklists;

/// <summary>What is refused of YAML itself, each with its place.</summary>
public class YamlReaderTests
{
    private static ChecklistFault First(string text) => ChecklistFiles.Load(ChecklistFiles.Small.SetItem("work-centres.yaml", text)).Faults[0];

    [Theory]
    [InlineData("work-centres:\n  - id: &a bench\n    name: Bench\n", 2, 9, "anchor '&a'")]
    [InlineData("work-centres: &all [{id: bench, name: Bench}]", 1, 15, "anchor '&all'")]
    [InlineData("work-centres: [{id: &a bench, name: Bench}]", 1, 31, "text that cannot be read")]
    [InlineData("work-centres: [{id: bench, name: *b}]", 1, 34, "alias '*b'")]
    [InlineData("work-centres: [{id: !!str bench, name: Bench}]", 1, 21, "tag 'tag:yaml.org,2002:str'")]
    [InlineData("work-centres: !list [{id: bench, name: Bench}]", 1, 15, "tag '!list'")]
    [InlineData("--- !<x> \nwork-centres: [{id: bench, name: Bench}]", 1, 5, "tag 'x'")]
    [InlineData("work-centres: [{id: bench, name: Bench}]\n---\nwork-centres: []\n", 2, 1, "a second document")]
    [InlineData("%YAML 1.2\n---\nwork-centres: [{id: bench, name: Bench}]\n", 1, 1, "a directive (%)")]
    [InlineData("work-centres: [{id: bench, id: desk, name: Bench}]", 1, 28, "key 'id' a second time (first in line 1)")]
    [InlineData("work-centres: [{id: bench, name: Bench}]\n? [a]\n: b\n", 2, 3, "a list or mapping as a key")]
    [InlineData("work-centres: [{id: bench, name: \"a\\0b\"}]", 1, 34, "character 2 is U+0000")]
    [InlineData("work-centres: [{id: bench, name: \"two\\nlines\"}]", 1, 34, "'two‹U+000A›lines'")]
    [InlineData("", 1, 1, "an empty file")]
    [InlineData("# only a comment\n", 1, 1, "an empty file")]
    [InlineData("work-centres: [{id: bench,\n  name: be\0nch}]", 2, 11, "U+0000")]
    [InlineData("work-centres:\r- {id: b\uFFFDnch, name: x}", 2, 9, "a byte that is not UTF-8")]
    public void What_hides_or_repeats_meaning_is_refused_at_its_place(string text, int line, int column, string found)
    {
        var fault = First(text);
        Assert.Equal(("work-centres.yaml", line, column), (fault.File, fault.Line, fault.Column));
        Assert.StartsWith(found, fault.Found, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("work-centres: [{id: bench, name: Bench}\n", 1)]
    [InlineData("work-centres: [[[[\n", 1)]
    [InlineData("work-centres: {id: bench\n", 1)]
    [InlineData("work-centres:\n - {id: bench, name: 'Bench}\n", 2)]
    [InlineData("work-centres:\n\t- x\n", 1)]
    [InlineData("work-centres: [{id: bench, name: \"a\\uD800b\"}]", 1)]
    [InlineData("work-centres: ]\n", 1)]
    [InlineData("a: b: c\n", 1)]
    [InlineData("work-centres: @x\n", 1)]
    [InlineData("work-centres: [a, b\nc: d\n", 1)]
    public void Text_that_is_no_YAML_is_refused_from_where_it_cannot_be_read(string text, int atLeastLine)
    {
        var fault = First(text);
        Assert.StartsWith("text that cannot be read", fault.Found, StringComparison.Ordinal);
        Assert.InRange(fault.Line, atLeastLine, text.Split('\n').Length);
        Assert.True(fault.Column >= 1);
    }

    [Fact]
    public void Nesting_is_followed_to_depth_32_and_no_further()
    {
        Assert.Contains("nested deeper than 32", First("work-centres: " + new string('[', 32)).Found, StringComparison.Ordinal);
        Assert.Contains("nested deeper than 32", First("work-centres: " + new string('[', 400_000)).Found, StringComparison.Ordinal);
        Assert.DoesNotContain("deeper", First("work-centres: " + new string('[', 30) + new string(']', 30)).Found, StringComparison.Ordinal);
        var fault = First("work-centres:\n" + string.Concat(Enumerable.Range(0, 40).Select(i => new string(' ', i) + "k:\n")));
        Assert.Contains("nested deeper than 32", fault.Found, StringComparison.Ordinal);
        Assert.Equal((33, 32), (fault.Line, fault.Column));
    }

    [Fact]
    public void More_than_a_hundred_thousand_parts_or_a_million_characters_are_refused()
    {
        Assert.Contains("more than 100000 parts", First("work-centres: [" + string.Concat(Enumerable.Repeat("a,", 100_001)) + "]").Found, StringComparison.Ordinal);
        Assert.Equal("1000001 characters", First(new string('#', 1_000_001)).Found);
    }

    [Fact]
    public void Words_that_YAML_takes_for_something_else_stay_words()
    {
        var files = ChecklistFiles.Small1("surveys/s.yaml", "choices: [yes, no]", "choices: [yes, no, on, 1e3, 0x10]");
        Assert.Equal(["yes", "no", "on", "1e3", "0x10"], ChecklistFiles.Load(files).Revision!.Survey("log").FindColumn("ok")!.Choices);
    }
}
