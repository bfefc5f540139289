namespace BuildTrack.Documents.Evaluate;

/// <summary>Numbers out of the options; what is none becomes a fault. A decimal comma is understood, a comma and a point together are not.</summary>
internal sealed class NumberOptions(IReadOnlyDictionary<string, string> options)
{
    public List<EvaluationFault> Faults { get; } = [];

    /// <summary>The number, or null: not given, or a fault.</summary>
    public double? Read(string name, Func<double, bool> fits, string expected)
    {
        if (!options.TryGetValue(name, out var written))
        {
            return null;
        }

        if (PositiveOption.Number(written) is { } value && fits(value))
        {
            return value;
        }

        Fault(name, written.Length == 0 ? "nothing" : $"'{written}'", expected);
        return null;
    }

    /// <summary>The number; a fault where it is not given.</summary>
    public double? Need(string name, Func<double, bool> fits, string expected)
    {
        if (!options.ContainsKey(name))
        {
            Fault(name, "nothing", expected);
        }

        return Read(name, fits, expected);
    }

    /// <summary>One of some words; the first where the option is not given.</summary>
    public string Word(string name, params string[] words)
    {
        var word = options.GetValueOrDefault(name, words[0]);
        if (!words.Contains(word))
        {
            Fault(name, word.Length == 0 ? "nothing" : $"'{word}'", string.Join(" or ", words));
        }

        return word;
    }

    public void Fault(string option, string found, string expected) => Faults.Add(new EvaluationFault($"--{option}", null, null, found, expected));
}
