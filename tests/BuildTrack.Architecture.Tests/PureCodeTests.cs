using BuildTrack.Architecture.Tests.Reading;
using BuildTrack.Architecture.Tests.Rules;

namespace BuildTrack.Architecture.Tests;

/// <summary>The engine gives the same answer on a server, on the command line and in a browser.</summary>
public sealed class PureCodeTests
{
    [Fact]
    public void Metrology_touches_no_file_network_clock_culture_thread_or_reflection() => Report.None("touches the world outside", PureCode.OutsideWorld(Assemblies.Metrology));

    [Fact]
    public void Every_kind_of_impurity_is_reported() => Report.Finds(
        PureCode.OutsideWorld(Assemblies.Samples).Where(o => o.StartsWith("Samples.Pure.", StringComparison.Ordinal)).Select(o => o.Split(' ')[0]),
        "Samples.Pure.ReadsFile", "Samples.Pure.AsksNetwork", "Samples.Pure.StartsThread", "Samples.Pure.Reflects", "Samples.Pure.ReflectsByType", "Samples.Pure.AsksCulture",
        "Samples.Pure.AsksClock", "Samples.Pure.TakesSystemClock", "Samples.Pure.ThrowsDice", "Samples.Pure.TakesLanesOfTheMachine");

    [Fact]
    public void The_engine_calls_no_function_whose_last_digit_depends_on_the_machine() =>
        Report.None("calls a function that differs between machines", PureCode.UnrepeatableFunctions(Assemblies.Metrology, "BuildTrack.Metrology")
            .Where(use => !use.StartsWith("BuildTrack.Metrology.Verdicts.Quantiles ", StringComparison.Ordinal)));

    /// <summary>The one exception: quantiles are rounded to six digits before they are used.</summary>
    [Fact]
    public void Quantiles_are_the_exception_and_still_need_to_be() => Report.Finds(
        PureCode.UnrepeatableFunctions(Assemblies.Metrology, "BuildTrack.Metrology.Verdicts"), "BuildTrack.Metrology.Verdicts.Quantiles uses System.Math.Exp");

    [Fact]
    public void Functions_whose_last_digit_depends_on_the_machine_are_all_reported() => Report.Finds(
        PureCode.UnrepeatableFunctions(Assemblies.Samples, "Samples.Geometry"),
        "Samples.Geometry.Turns uses System.Math.Cos", "Samples.Geometry.Turns uses System.Double.Exp", "Samples.Geometry.Turns uses System.Math.Pow");

    [Fact]
    public void Nothing_reads_a_clock_that_was_not_injected() => Report.None("reads a clock of its own",
        Assemblies.OfTheProduct.SelectMany(m => PureCode.OwnClock(m, "BuildTrack.Web.Hosting", "BuildTrack.Cli")));

    [Fact]
    public void A_clock_that_was_not_injected_is_reported() => Report.Finds(
        PureCode.OwnClock(Assemblies.Samples, "Samples.Hosting"),
        "Samples.Pure.AsksClock uses System.DateTime.get_UtcNow", "Samples.Pure.TakesSystemClock uses System.TimeProvider.get_System");

    [Fact]
    public void The_place_that_hands_out_the_system_clock_is_not_reported() =>
        Assert.DoesNotContain("Samples.Pure.TakesSystemClock uses System.TimeProvider.get_System", PureCode.OwnClock(Assemblies.Samples, "Samples.Pure"));

    [Fact]
    public void No_number_is_written_in_the_culture_of_the_thread() =>
        Report.None("depends on the thread's culture", Assemblies.OfTheProduct.SelectMany(PureCode.CultureOfTheThread));

    [Fact]
    public void Numbers_written_in_the_culture_of_the_thread_are_reported_plain_and_interpolated() => Report.Finds(
        PureCode.CultureOfTheThread(Assemblies.Samples),
        "Samples.Pure.WritesInCultureOfThread writes a number by Double.ToString without a culture",
        "Samples.Pure.WritesInCultureOfThread writes a number by DefaultInterpolatedStringHandler.AppendFormatted without a culture");
}
