using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Machines;
using BuildTrack.Metrology;
using BuildTrack.Metrology.Thermal;

namespace BuildTrack.Domain.Temperatures;

/// <summary>How far a bed is from being even enough in temperature to be judged.</summary>
public enum GradientState
{
    /// <summary>No round was read.</summary>
    NotRead,

    /// <summary>The latest round keeps the allowed gradient.</summary>
    Met,

    /// <summary>Beyond it; the rounds tell when it will be kept.</summary>
    Waiting,

    /// <summary>Beyond it; the rounds do not tell when it will be kept.</summary>
    Beyond,
}

/// <summary>Fitted decay of the place that is ready last.</summary>
/// <param name="Place">From 0, the operator's end.</param>
/// <param name="Ready">About when the allowed gradient is kept.</param>
/// <param name="From">Not before (k = 2); never before the latest round.</param>
/// <param name="To">Not after (k = 2).</param>
public sealed record GradientForecast(int Place, CoolingFigures Figures, Instant Ready, Instant From, Instant To);

/// <summary>Conditions at a step of a machine, from its rounds of temperatures.</summary>
/// <param name="Allowed">The model's, K; null where it has none.</param>
/// <param name="Rounds">Of one standing, in order.</param>
/// <param name="MetSince">The first of the last rounds that kept the allowed gradient without a break.</param>
/// <param name="Missing">What stands in the way of a forecast or of a proof, in a sentence; null for nothing.</param>
public sealed record GradientStanding(
    int Step, double? Allowed, ImmutableArray<TemperatureRound> Rounds, GradientState State, TemperatureRound? MetSince, GradientForecast? Forecast, string? Missing)
{
    public TemperatureRound? Latest => Rounds.IsEmpty ? null : Rounds[^1];

    /// <summary>Times are told to five minutes: the fit knows them no better.</summary>
    private const int ToldMinutes = 5;

    public static GradientStanding Of(MachineRecord machine, int step)
    {
        var rounds = TemperatureRules.Standing(machine, step);
        var allowed = (double?)machine.Model.GradientAllowed?.Value;
        GradientStanding Says(GradientState state, string? missing, TemperatureRound? since = null, GradientForecast? forecast = null) => new(step, allowed, rounds, state, since, forecast, missing);
        if (rounds.IsEmpty)
        {
            return Says(GradientState.NotRead, "no round of temperatures is recorded");
        }

        var latest = rounds[^1];
        if (allowed is not { } limit)
        {
            return Says(GradientState.Met, $"model {machine.Model.Id} states no gradient", latest);
        }

        if ((double)latest.Gradient <= limit)
        {
            var since = latest;
            foreach (var round in rounds.Reverse().TakeWhile(r => (double)r.Gradient <= limit))
            {
                since = round;
            }

            return Says(GradientState.Met, TemperatureRules.WhyNotProved(latest, limit), since);
        }

        if (rounds.Length == 1)
        {
            return Says(GradientState.Beyond, "one round tells no time; read another in half an hour");
        }

        GradientForecast? last = null;
        for (var place = 0; place < latest.Places.Length; place++)
        {
            if ((double)Math.Abs(latest.Places[place].Difference) <= limit)
            {
                continue;
            }

            var (forecast, missing) = Fit(rounds, place, limit);
            if (forecast is null)
            {
                return Says(GradientState.Beyond, missing);
            }

            last = last is null || forecast.Ready > last.Ready ? forecast : last;
        }

        return Says(GradientState.Waiting, TemperatureRules.WhyNotProved(latest, limit), forecast: last);
    }

    /// <summary>The standing of a step whose latest round is beyond the allowed gradient, with nothing measured since; null where nothing waits for it.</summary>
    public static GradientStanding? WaitingAt(MachineRecord machine, int step)
    {
        if (machine.Temperatures.IsEmpty || Of(machine, step) is not { State: GradientState.Waiting or GradientState.Beyond } standing)
        {
            return null;
        }

        var surveys = machine.Revision.Surveys.Where(s => s.Step == step && s.NeedsGradient).Select(s => s.Id).ToHashSet();
        return machine.Measurements.Any(m => surveys.Contains(m.Survey) && m.Runs.Any(r => r.Id > standing.Latest!.Id && r.Discarded is null)) ? null : standing;
    }

    /// <summary>"waiting for conditions until about 07:00 (06:45–07:15): top to bottom 0.8 K, at most 0.48 K".</summary>
    public string Sentence(PlantTime time) => State switch
    {
        GradientState.NotRead => "no temperatures of the bed are recorded yet",
        GradientState.Met => $"conditions are met since the round of {Clock(time, MetSince!.At, Latest!.At)}{(Missing is null ? "" : $", as read; {Missing}")}",
        GradientState.Waiting => $"waiting for conditions until about {Clock(time, Told(Forecast!.Ready), Latest!.At)} ({Clock(time, Down(Forecast.From), Forecast.Ready)}–{Clock(time, Up(Forecast.To), Forecast.Ready)}): {Beyond}",
        _ => $"waiting for conditions: {Beyond}; {Missing}",
    };

    private string Beyond => FormattableString.Invariant($"top to bottom {Latest!.Gradient:0.0##} K, at most {Allowed:0.0##} K");

    private static (GradientForecast? Forecast, string? Missing) Fit(ImmutableArray<TemperatureRound> rounds, int place, double limit)
    {
        // Only rounds of the same places and the same sign belong to one decay.
        var (count, sign) = (rounds[^1].Places.Length, Math.Sign(rounds[^1].Places[place].Difference));
        var used = rounds.Reverse().TakeWhile(r => r.Places.Length == count && Math.Sign(r.Places[place].Difference) == sign).Reverse().ToArray();
        var zero = used[0].At;
        var result = CoolingCalculation.Of(
            [.. used.Select(r => new CoolingRound(Minutes(r.At, zero), Of(r.Places[place].Top), Of(r.Places[place].Bottom)))],
            TemperatureDifference.FromKelvins(limit), used.Max(r => r.DifferenceU) / 2);
        if (result.Figures is not { } figures)
        {
            return (null, result.Defect switch
            {
                CoolingDefect.TooFewRounds => "one round of these places tells no time; read another in half an hour",
                CoolingDefect.NotCooling => FormattableString.Invariant(
                    $"the bed is not becoming even ({Math.Abs(used[0].Places[place].Difference):0.0##} K, then {Math.Abs(used[^1].Places[place].Difference):0.0##} K at the same place): look for a heater, sun or a draught"),
                _ => result.DefectSentence,
            });
        }

        // A fit that is hardly known may reach beyond any calendar; no shop waits a month.
        var (ready, spread) = (figures.ReadyAtMin, 2 * figures.WaitUncertaintyMin!.Value);
        var end = Math.Min(ready + spread, ready + LongestMin);
        return ready > Minutes(used[^1].At, zero) + LongestMin
            ? (null, "it falls so slowly that no time can be told; read another round later")
            : (new GradientForecast(place, figures, At(zero, ready), At(zero, Math.Max(ready - spread, Minutes(used[^1].At, zero))), At(zero, end)), null);
    }

    private const double LongestMin = 31 * 24 * 60;

    private static Temperature Of(ProbeReading reading) => Temperature.FromDegreesCelsius((double)reading.Celsius);

    private static double Minutes(Instant at, Instant zero) => (at.Microseconds - zero.Microseconds) / 60e6;

    private static Instant At(Instant zero, double minutes) => new(zero.Microseconds + (long)(minutes * 60e6));

    /// <summary>About when it is ready, to five minutes.</summary>
    public static Instant Told(Instant at) => Steps(at, 0.5);

    private static Instant Down(Instant at) => Steps(at, 0);

    private static Instant Up(Instant at) => Steps(at, 1);

    private static Instant Steps(Instant at, double share)
    {
        const long step = ToldMinutes * 60_000_000L;
        var rest = ((at.Microseconds % step) + step) % step;
        var down = at.Microseconds - rest;
        return new Instant(share == 0 || rest == 0 ? down : share >= 1 || rest >= step * share ? down + step : down);
    }

    /// <summary>The time of day; with the date where it is another day than that of the round it is told beside.</summary>
    private static string Clock(PlantTime time, Instant at, Instant beside) => time.Day(at) == time.Day(beside) ? time.TimeOfDay(at) : time.Short(at);
}
