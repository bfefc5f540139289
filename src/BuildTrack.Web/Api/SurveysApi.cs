using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Surveys;
using BuildTrack.Web.Security;
using BuildTrack.Web.Sheets;

namespace BuildTrack.Web.Api;

/// <summary>Measuring: runs and their readings.</summary>
internal static class SurveysApi
{
    /// <summary>Largest survey file, as the form on the page takes it.</summary>
    private const int LargestFile = 2_000_000;

    public static void Map(RouteGroupBuilder api)
    {
        api.MapPost("/machines/{serial}/runs", Begin).RequireAuthorization(ActKind.BeginRun).WithSummary("Begins a run of a survey; the first one opens the measurement. An inspector begins a spot check with the kind spotCheck and the places.");
        api.MapPost("/machines/{serial}/runs/begun", Begun).RequireAuthorization(ActKind.BeginRun).WithSummary("Begins a run that was begun on a tablet without network: as typed there, by whom, and when by its clock. It is decided now.");
        api.MapPost("/machines/{serial}/runs/{run:long}/readings", Record).RequireAuthorization(ActKind.Record).WithSummary("Records typed readings, all or none.");
        api.MapGet("/machines/{serial}/runs/{run:long}", Standing).WithSummary("The readings that stand in a run.");
        api.MapPost("/machines/{serial}/runs/{run:long}/preview", Preview).RequireAuthorization(ActKind.Record).Accepts<string>("text/csv").WithSummary("Says what a survey file is understood to hold; records nothing. The query's mapping, as JSON, says which column is what of a file with a header of its own.");
        api.MapPost("/machines/{serial}/runs/{run:long}/file", RecordFile).RequireAuthorization(ActKind.Record).Accepts<string>("text/csv").WithSummary("Records a survey file, all or none; mapping as in the preview.");
        api.MapPost("/machines/{serial}/runs/{run:long}/discard", Discard).RequireAuthorization(ActKind.Discard).WithSummary("Sets a run aside with a reason.");
        api.MapPost("/machines/{serial}/runs/{run:long}/finish", Finish).RequireAuthorization(ActKind.Finish).WithSummary("Finishes a run and calculates the results that rest on it.");
        api.MapPost("/machines/{serial}/readings/{reading:long}/take-back", TakeBack).RequireAuthorization(ActKind.TakeBack).WithSummary("Takes back the last entry of one's own open run: its place is empty again, and both stand in the record.");
        api.MapPost("/machines/{serial}/readings/{reading:long}/correction", Correct).RequireAuthorization(ActKind.Correct).WithSummary("Corrects a reading by a further one, with a reason.");
    }

    public sealed record BeginBody(
        string Survey, string? Feature, RunKind Kind, string? Proves, Direction? Direction, LevelArrow? Arrow, ImmutableArray<string>? Instruments,
        ImmutableArray<UseCheck>? Checks, Conditions? Conditions, ImmutableArray<string>? Helpers,
        ImmutableArray<string>? Places = null, long? HandOver = null);

    /// <param name="Begin">As it was typed.</param>
    /// <param name="By">Sign-in name of who began it: only they send it.</param>
    /// <param name="BegunUs">When it was begun, by the tablet's clock, µs UTC.</param>
    /// <param name="SentUs">The tablet's clock as it sends this request, µs UTC.</param>
    public sealed record BegunBody(TypedBegin? Begin, string? By, long? BegunUs, long? SentUs);

    /// <param name="Confirmed">False: a doubtful value is refused with its questions; true: the person was asked and confirmed it; null: nobody is there to ask.</param>
    /// <param name="Gauge">It came faster than a person types.</param>
    /// <param name="TypedUs">When it was typed, by the tablet's clock, µs UTC.</param>
    /// <param name="SentUs">The tablet's clock as it sends this request, µs UTC.</param>
    public sealed record ReadingsBody(ImmutableArray<TypedReading> Readings, bool? Confirmed = null, bool Gauge = false, long? TypedUs = null, long? SentUs = null);

    /// <param name="Open">Readings may still be recorded in it.</param>
    public sealed record StandingRun(long Run, bool Open, ImmutableArray<StandingReading> Readings);

    public sealed record StandingReading(long Id, string Place, string Column, string Typed, string? Unit, Instant At);

    public sealed record CorrectionBody(string Typed, string? Unit, string Reason);

    public sealed record ReasonBody(string Reason);

    private static async Task<IResult> Begin(string serial, BeginBody body, SurveyActs acts, HttpContext context, CancellationToken ct)
    {
        var begun = await acts.BeginRun(context.Caller(), new BeginRunRequest(
            serial, body.Survey, body.Feature, body.Kind, body.Proves, body.Direction, body.Arrow, body.Instruments ?? [], body.Checks ?? [], body.Conditions, body.Helpers ?? [], body.Places, body.HandOver),
            context.Key(), ct);
        return TypedResults.Created($"/api/v1/machines/{serial}", begun);
    }

    private static async Task<IResult> Begun(string serial, BegunBody body, SurveyActs acts, HttpContext context, CancellationToken ct)
    {
        List<InputFault> faults = [];
        faults.AddRange(body.Begin?.Survey is null ? [new InputFault("begin", "nothing", "a survey and what its run begins with, as typed")] : []);
        faults.AddRange(string.IsNullOrWhiteSpace(body.By) ? [new InputFault("by", "nothing", "the sign-in name of who began it")] : []);
        faults.AddRange(body.BegunUs is null ? [new InputFault("begunUs", "nothing", "when it was begun by the tablet's clock, microseconds since 1970, UTC")] : []);
        faults.AddRange(body.SentUs is null ? [new InputFault("sentUs", "nothing", "the tablet's clock as it sends, microseconds since 1970, UTC")] : []);
        var conditions = body.Begin?.Understand(faults);
        if (faults.Count > 0)
        {
            throw new BadInputException(faults);
        }

        var begun = await acts.BeginRun(context.Caller(), BeginRunRequest.Of(serial, body.Begin!, conditions) with { By = body.By, BegunUs = body.BegunUs }, context.Key(), ct, body.SentUs);
        return TypedResults.Created($"/api/v1/machines/{serial}", begun);
    }

    private static async Task<RecordedReadings> Record(string serial, long run, ReadingsBody body, SurveyActs acts, HttpContext context, CancellationToken ct) =>
        await acts.Record(
            context.Caller(), new RecordRequest(serial, run, body.Gauge ? EntryRoute.Gauge : EntryRoute.Typed, body.Readings.IsDefault ? [] : body.Readings, body.Confirmed, body.TypedUs), context.Key(), ct, body.SentUs);

    private static async Task<StandingRun> Standing(string serial, long run, MachineReader machines, CancellationToken ct)
    {
        var view = RunView.Of(await machines.Load(serial, ct), run);
        return new StandingRun(run, view.IsOpen, [.. view.Run.Standing.Select(r => new StandingReading(r.Id, r.Place.Key, r.Column, r.Value.Typed, r.Value.Unit, r.At))]);
    }

    private static async Task<SurveyPreview> Preview(string serial, long run, string? name, string? mapping, SurveyActs acts, HttpContext context, CancellationToken ct) =>
        await acts.Preview(context.Caller(), serial, run, name ?? "survey.csv", await File(context, ct), ct, Mapping(mapping));

    private static async Task<RecordedReadings> RecordFile(string serial, long run, string? name, string? mapping, SurveyActs acts, HttpContext context, CancellationToken ct)
    {
        var (key, fileName) = (context.Key(), name ?? "survey.csv");
        var preview = await acts.Preview(context.Caller(), serial, run, fileName, await File(context, ct), ct, Mapping(mapping));
        return await acts.RecordFile(context.Caller(), new RecordFileRequest(serial, run, preview.FileHash, fileName, preview.Mapping), key, ct);
    }

    private static ColumnMapping? Mapping(string? json) => json is null ? null : ColumnMapping.Parse(json);

    private static async Task<ActReceipt> Discard(string serial, long run, ReasonBody body, SurveyActs acts, HttpContext context, CancellationToken ct) =>
        await acts.Discard(context.Caller(), new DiscardRequest(serial, run, body.Reason), context.Key(), ct);

    private static async Task<FinishedRun> Finish(string serial, long run, SurveyActs acts, HttpContext context, CancellationToken ct) =>
        await acts.Finish(context.Caller(), new FinishRequest(serial, run), context.Key(), ct);

    private static async Task<RecordedReadings> TakeBack(string serial, long reading, SurveyActs acts, HttpContext context, CancellationToken ct) =>
        await acts.TakeBack(context.Caller(), new TakeBackRequest(serial, reading), context.Key(), ct);

    private static async Task<RecordedReadings> Correct(string serial, long reading, CorrectionBody body, SurveyActs acts, HttpContext context, CancellationToken ct) =>
        await acts.Correct(context.Caller(), new CorrectRequest(serial, reading, body.Typed, body.Unit, body.Reason), context.Key(), ct);

    /// <summary>The body as a file. It is read only as far as a survey file may be long.</summary>
    internal static async Task<byte[]> File(HttpContext context, CancellationToken ct)
    {
        if (context.Request.ContentType?.Split(';')[0].Trim() is not ("text/csv" or "text/plain" or "application/octet-stream"))
        {
            throw new BadHttpRequestException("Expected the content type text/csv.", StatusCodes.Status415UnsupportedMediaType);
        }

        using var bytes = new MemoryStream();
        var buffer = new byte[81920];
        while (await context.Request.Body.ReadAsync(buffer, ct) is var read and > 0)
        {
            bytes.Write(buffer, 0, read);
            if (bytes.Length > LargestFile)
            {
                throw new BadHttpRequestException($"The file is larger than {LargestFile} bytes.", StatusCodes.Status413PayloadTooLarge);
            }
        }

        return bytes.ToArray();
    }
}
