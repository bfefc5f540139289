using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Documents.Evaluate;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Metrology.Statistics;
using BuildTrack.Records.Instruments;
using BuildTrack.Records.Plant;
using BuildTrack.Records.Surveys;
using BuildTrack.Web.Security;

namespace BuildTrack.Web.Api;

/// <summary>One instrument: its history, checks before use, reversals and gauge studies.</summary>
internal static class InstrumentsApi
{
    public static void Map(RouteGroupBuilder api)
    {
        api.MapGet("/instruments/{instrument}", Get).WithSummary("One instrument: how it stands today, every state with interval and drift, checks, reversals, gauge studies; each the latest first.");
        api.MapPost("/instruments/{instrument}/checks", Check).RequireAuthorization(ActKind.CheckInstrument).WithSummary("Records a check before use. After one that failed the instrument proves nothing until a good one or a calibration.");
        api.MapPost("/instruments/{instrument}/reversals", Reverse).RequireAuthorization(ActKind.RecordReversal).WithSummary("Records a reversal of a level: zero error (A + B)/2, slope (A − B)/2.");
        api.MapPost("/instruments/{instrument}/gauge-studies", Study).RequireAuthorization(ActKind.RecordGaugeStudy)
            .WithSummary("Calculates and records a crossed gauge study; text/csv part,appraiser,trial,value, at most 2 MB; 'about', 'unit' and 'tolerance' are query parameters.");
    }

    /// <param name="Found">Departure found, with sign, with unit or in that of the instrument.</param>
    public sealed record CheckBody(string? Reference, string? Found, string? Limit);

    public sealed record ReversalBody(string? Place, string? First, string? Second);

    /// <param name="Today">"valid", "due in 12 days", "proves nothing: …".</param>
    /// <param name="LastGood">From this day on readings are in doubt where it is found out of limits today.</param>
    public sealed record InstrumentAnswer(
        RegisterEntry Entry, CalibrationState State, string Today, string LastGood, ImmutableArray<StateAnswer> States, ImmutableArray<CheckAnswer> Checks,
        ImmutableArray<LevelReversal> Reversals, ImmutableArray<StoredGaugeStudy> GaugeStudies);

    public sealed record StateAnswer(RegisterEntry Entry, Instant At, string By, bool Calibrated, int IntervalDays, int? IntervalBefore, double? Drift, double? DriftLimit, bool DriftedTooFar);

    public sealed record CheckAnswer(InstrumentCheck Check, bool Good);

    private static async Task<InstrumentAnswer> Get(string instrument, InstrumentReader register, PlantReader plant, TimeProvider clock, CancellationToken ct)
    {
        var history = await register.History(instrument, ct);
        var settings = await plant.Get(ct);
        var today = (await plant.Time(ct)).Day(Instant.Now(clock));
        return new InstrumentAnswer(
            history.Entry, CalibrationHistory.StateOn(history.Entry, today, settings.DueDays), CalibrationHistory.Words(history.Entry, today, settings.DueDays), history.LastGood,
            [.. history.States.Select(s => new StateAnswer(s.Entry, s.At, s.By, s.Step.Calibrated, s.Step.IntervalDays, s.Step.IntervalBefore, s.Step.Drift, s.Step.DriftLimit, s.Step.DriftedTooFar))],
            [.. history.Checks.Select(c => new CheckAnswer(c, c.Good))], history.Reversals, history.Studies);
    }

    private static async Task<IResult> Check(string instrument, CheckBody body, InstrumentRecordActs acts, HttpContext context, CancellationToken ct) =>
        Created(await acts.Check(context.Caller(), new CheckInstrumentRequest(instrument, body.Reference ?? "", body.Found ?? "", body.Limit ?? ""), context.Key(), ct));

    private static async Task<IResult> Reverse(string instrument, ReversalBody body, InstrumentRecordActs acts, HttpContext context, CancellationToken ct) =>
        Created(await acts.Reverse(context.Caller(), new ReverseLevelRequest(instrument, body.Place ?? "", body.First ?? "", body.Second ?? ""), context.Key(), ct));

    private static async Task<IResult> Study(string instrument, string? about, string? unit, string? tolerance, InstrumentRecordActs acts, HttpContext context, CancellationToken ct)
    {
        using var table = new StreamReader(new MemoryStream(await SurveysApi.File(context, ct)));
        return Created(await acts.Study(context.Caller(), new GaugeStudyRequest(instrument, about ?? "", unit, Width(tolerance), Readings(table, "body")), context.Key(), ct));
    }

    /// <summary>Readings of a study as typed or sent.</summary>
    /// <exception cref="BadInputException">All faults of the table, each with line and column.</exception>
    internal static ImmutableArray<GaugeReading> Readings(TextReader csv, string fileName)
    {
        var (readings, faults) = GaugeTable.Read(csv, fileName);
        return faults.Count > 0 ? throw new BadInputException([.. faults.Select(EvaluationsApi.Fault)]) : [.. readings];
    }

    /// <summary>Width of a tolerance as typed; null for nothing.</summary>
    /// <exception cref="BadInputException">It is no number.</exception>
    internal static double? Width(string? typed) =>
        string.IsNullOrWhiteSpace(typed) ? null
        : NumberText.TryIn(typed, "1", out var width, out _) ? (double)width
        : throw new BadInputException("width of the tolerance", $"'{(typed.Length > 40 ? typed[..40] + "…" : typed)}'", "a number above 0, in the unit of the readings");

    private static Microsoft.AspNetCore.Http.HttpResults.Created<InstrumentReceipt> Created(InstrumentReceipt receipt) => TypedResults.Created($"/api/v1/instruments/{Uri.EscapeDataString(receipt.Instrument)}", receipt);
}
