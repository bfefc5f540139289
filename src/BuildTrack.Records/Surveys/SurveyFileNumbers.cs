using BuildTrack.Domain.Measuring;

namespace BuildTrack.Records.Surveys;

/// <summary>Reads the numbers of one file, which has one decimal sign throughout.</summary>
internal sealed class SurveyFileNumbers(SurveyFileFaults faults)
{
    private (char Mark, int Line)? decimalSign;

    /// <summary>"decimal comma", "decimal point" or "whole numbers".</summary>
    public string Sign => decimalSign is { } known ? Name(known.Mark) : "whole numbers";

    /// <summary>What a cell means; null, and a fault, where it is no number.</summary>
    public UnderstoodNumber? Of(int line, string column, string typed, string unit)
    {
        var number = NumberText.Understand(typed, unit, exponents: true);
        if (number.Fault is { } expectation)
        {
            faults.Add(line, $"column {column}", string.IsNullOrWhiteSpace(typed) ? "nothing" : Quoted.Of(typed), expectation);
            return null;
        }

        if (number.Mark is { } mark)
        {
            decimalSign ??= (mark, line);
            if (decimalSign.Value.Mark != mark)
            {
                // 1.234 among decimal commas may be a grouped thousand.
                faults.Add(line, $"column {column}", Quoted.Of(typed), FormattableString.Invariant($"{Name(decimalSign.Value.Mark)}, as in line {decimalSign.Value.Line}: one decimal sign throughout the file"));
                return null;
            }
        }

        return number;
    }

    private static string Name(char mark) => mark == ',' ? "decimal comma" : "decimal point";
}
