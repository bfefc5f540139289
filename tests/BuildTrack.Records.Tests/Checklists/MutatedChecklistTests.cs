using System.Diagnostics;
using System.Text;
using Xunit;

namespace BuildTrack.Records.Tests.Checklists;

public class MutatedChecklistTests
{
    private const int Seed = 20261125;
    private static readonly string[] Pieces =
        ["[", "]", "{", "}", ":", ": ", ",", "- ", "&a ", "*a", "!!int ", "|", ">", "\"", "'", "\n", "\r", "\t", "---\n", "...\n", "%", "#", "? ", "~", "\0", "\uD800", "\uFEFF", "\u2028", "\\", "-", "0", "999999999999999999999", "NaN"];

    [Fact]
    public void Two_thousand_damaged_files_are_loaded_or_refused_with_a_place()
    {
        var random = new Random(Seed);
        IReadOnlyDictionary<string, string>[] sets = [ChecklistFiles.ForTests, ChecklistFiles.Small];
        var clock = Stopwatch.StartNew();
        var refused = 0;
        for (var i = 0; i < 2_000; i++)
        {
            var good = sets[i % 2];
            var path = good.Keys.ElementAt(random.Next(good.Count));
            var text = Damage(random, good[path]);
            var files = good.ToDictionary();
            files[path] = text;
            var before = clock.Elapsed;
            var result = ChecklistFiles.Load(files);
            Assert.True(clock.Elapsed - before < TimeSpan.FromSeconds(10), $"seed {Seed}, file {i}, {path}: too slow");
            Assert.True(result.Revision is null != result.Faults.IsEmpty, $"seed {Seed}, file {i}, {path}");
            var lines = text.Split('\n').Length + text.Count(c => c is '\r' or '\u2028' or '\u2029' or '\u0085');
            foreach (var fault in result.Faults)
            {
                Assert.True(
                    good.ContainsKey(fault.File) && fault.Line >= 1 && fault.Column >= 1 && fault.Found.Length > 0 && fault.Expected.Length > 0
                    && (fault.File != path || fault.Line <= lines + 1), $"seed {Seed}, file {i}, {path}: {fault}");
            }

            refused += result.Faults.IsEmpty ? 0 : 1;
        }

        // A mutator that hits nothing, or a loader that refuses everything, would prove little.
        Assert.InRange(refused, 1_000, 1_990);
    }

    private static string Damage(Random random, string text)
    {
        var damaged = new StringBuilder(text);
        for (var n = random.Next(1, 4); n > 0 && damaged.Length > 2; n--)
        {
            var at = random.Next(damaged.Length);
            switch (random.Next(6))
            {
                case 0:
                    damaged.Remove(at, Math.Min(random.Next(1, 20), damaged.Length - at));
                    break;
                case 1:
                    damaged.Insert(at, Pieces[random.Next(Pieces.Length)]);
                    break;
                case 2:
                    damaged[at] = (char)random.Next(1, 0x3000);
                    break;
                case 3:
                    damaged.Length = at;
                    break;
                case 4:
                    damaged.Insert(at, damaged.ToString(at, Math.Min(random.Next(1, 200), damaged.Length - at)));
                    break;
                default:
                    damaged.Insert(at, string.Concat(Enumerable.Repeat(Pieces[random.Next(Pieces.Length)], random.Next(2, 60))));
                    break;
            }
        }

        return damaged.ToString();
    }
}
