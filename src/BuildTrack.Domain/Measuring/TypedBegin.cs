using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.Temperatures;

namespace BuildTrack.Domain.Measuring;

/// <summary>What a pass begins with, as it was typed: by the form of the step sheet, or on a tablet without network.</summary>
/// <param name="Instruments">Register ids, one for each quantity of the survey.</param>
/// <param name="Checks">What was checked before use of each instrument, and found.</param>
/// <param name="Top">Temperatures at the top of the bed, °C, as typed.</param>
/// <param name="Bottom">The same at the bottom, below the same places.</param>
/// <param name="Air">°C, as typed.</param>
/// <param name="Note">Anything that disturbed.</param>
/// <param name="Anyway">Why it is measured in spite of the gradient.</param>
/// <param name="Helpers">Sign-in names.</param>
public sealed record TypedBegin(
    string Survey, string? Feature = null, Direction? Direction = null, LevelArrow? Arrow = null, ImmutableArray<string>? Instruments = null, ImmutableArray<string>? Checks = null,
    ImmutableArray<string>? Top = null, ImmutableArray<string>? Bottom = null, string? Air = null, string? Note = null, string? Anyway = null, ImmutableArray<string>? Helpers = null)
{
    /// <summary>The instruments that were chosen, each with its check before use.</summary>
    public ImmutableArray<UseCheck> Uses =>
        [.. (Instruments ?? []).Select((id, i) => new UseCheck(id, (Checks ?? []).ElementAtOrDefault(i)?.Trim() ?? "", true)).Where(u => !string.IsNullOrEmpty(u.Instrument))];

    /// <summary>The conditions as understood; null where none were typed.</summary>
    /// <param name="faults">Takes every temperature that is no number.</param>
    public Conditions? Understand(ICollection<InputFault> faults)
    {
        ImmutableArray<decimal> top = [.. Temperatures(Top ?? [], "bed temperature, top", faults)], bottom = [.. Temperatures(Bottom ?? [], "bed temperature, bottom", faults)];
        decimal? air = Temperatures([Air], "air temperature", faults) is [var a] ? a : null;
        return top.IsEmpty && bottom.IsEmpty && air is null && string.IsNullOrWhiteSpace(Note) ? null
            : new Conditions(air, top, bottom, string.IsNullOrWhiteSpace(Note) ? null : Note.Trim(), string.IsNullOrWhiteSpace(Anyway) ? null : Anyway.Trim());
    }

    /// <summary>What is wrong with the rail, direction, arrow, checks before use and conditions that a run of a survey begins with.</summary>
    public static IEnumerable<InputFault> Faults(
        MachineModel model, Survey survey, string? feature, Direction? direction, LevelArrow? arrow, IReadOnlyCollection<string> instruments, IReadOnlyCollection<UseCheck> checks, Conditions? conditions)
    {
        ArgumentNullException.ThrowIfNull(survey);
        ArgumentNullException.ThrowIfNull(instruments);
        ArgumentNullException.ThrowIfNull(checks);
        if (survey.ForEach.Length > 0 ? !survey.ForEach.Contains(feature ?? "") : feature is not null)
        {
            yield return new InputFault("feature", $"'{feature}'", survey.ForEach.Length > 0 ? string.Join(" or ", survey.ForEach) : $"none: survey {survey.Id} has no features");
        }

        if (survey.BothDirections && direction is null)
        {
            yield return new InputFault("direction", "nothing", "outward or back");
        }

        if (survey.BaseLengthMm is not null && arrow is null)
        {
            yield return new InputFault("arrow of the level", "nothing", "plusX or minusX");
        }

        foreach (var id in instruments.Where(i => checks.All(c => c.Instrument != i || string.IsNullOrWhiteSpace(c.Found))))
        {
            yield return new InputFault($"check before use of {id}", "nothing", "what was checked and found, for this run");
        }

        foreach (var fault in TemperatureRules.Faults(model, survey, conditions))
        {
            yield return fault;
        }
    }

    private static List<decimal> Temperatures(IEnumerable<string?> texts, string where, ICollection<InputFault> faults)
    {
        var values = new List<decimal>();
        foreach (var (text, i) in texts.Select((t, i) => (t?.Trim(), i)).Where(x => !string.IsNullOrEmpty(x.Item1)))
        {
            if (NumberText.TryIn(text, "°C", out var value, out _))
            {
                values.Add(value);
            }
            else
            {
                faults.Add(new InputFault($"{where} {i + 1}", $"'{text}'", "a number of °C"));
            }
        }

        return values;
    }
}
