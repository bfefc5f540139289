using BuildTrack.Domain.Evaluating;

namespace BuildTrack.Domain.Tests.Honesty;

/// <summary>An answer that is always "not proven" would be honest too: good parts are accepted and bad ones rejected, with noise of a seventeenth of the limit.</summary>
public sealed class UsefulnessTests
{
    private const int Trials = 2000;
    private const double NoiseUm = Workpiece.LimitUm / 17;

    public static TheoryData<Form, int, string> Cells()
    {
        var data = new TheoryData<Form, int, string>();
        foreach (var form in Enum.GetValues<Form>())
        {
            foreach (var size in (ReadOnlySpan<int>)[12, 26, 60, 120])
            {
                foreach (var reference in (ReadOnlySpan<string>)[FlatnessEvaluator.LeastSquares, FlatnessEvaluator.MinimumZone])
                {
                    if (Grid.Whole || (size == ((int)form % 2 == 0 ? 60 : 26)))
                        data.Add(form, size, reference);
                }
            }
        }

        return data;
    }

    [Theory]
    [MemberData(nameof(Cells))]
    public void Six_tenths_of_the_limit_are_accepted(Form form, int size, string reference)
    {
        var tally = Honesty.Trials.Run(Bed(form, size, reference), Trials, shareOfLimit: 0.6);
        Assert.True(tally.Accepted >= 0.99 * Trials, $"{form}, {size} stations, {reference}: accepted {tally.Accepted}, rejected {tally.Rejected} of {Trials}");
    }

    [Theory]
    [MemberData(nameof(Cells))]
    public void A_fifth_beyond_the_limit_is_proved_when_the_deciding_places_are_measured_twice(Form form, int size, string reference)
    {
        var tally = Honesty.Trials.Run(Bed(form, size, reference), Trials, shareOfLimit: 1.2, attempts: 2);
        Assert.True(tally.Rejected >= 0.90 * Trials, $"{form}, {size} stations, {reference}: rejected {tally.Rejected}, accepted {tally.Accepted} of {Trials}");
    }

    private static Cell Bed(Form form, int size, string reference) => new(Part.Bed, Data.Independent, form, size, NoiseUm, reference);
}
