using BuildTrack.Records.Acts;
using BuildTrack.Records.AffectedReadings;
using BuildTrack.Records.AsBuilt;
using BuildTrack.Records.Calendars;
using BuildTrack.Records.Certificates;
using BuildTrack.Records.CheckHistory;
using BuildTrack.Records.Checklists;
using BuildTrack.Records.Corrections;
using BuildTrack.Records.Delegations;
using BuildTrack.Records.Disclosure;
using BuildTrack.Records.Files;
using BuildTrack.Records.History;
using BuildTrack.Records.Instruments;
using BuildTrack.Records.Kits;
using BuildTrack.Records.LongWork;
using BuildTrack.Records.Machines;
using BuildTrack.Records.PaperProtocols;
using BuildTrack.Records.People;
using BuildTrack.Records.Nonconformances;
using BuildTrack.Records.Planning;
using BuildTrack.Records.Plant;
using BuildTrack.Records.PunchList;
using BuildTrack.Records.Qualifications;
using BuildTrack.Records.ReadyDates;
using BuildTrack.Records.RecordReviews;
using BuildTrack.Records.Releases;
using BuildTrack.Records.Repeats;
using BuildTrack.Records.ResultSeries;
using BuildTrack.Records.Route;
using BuildTrack.Records.StepFiles;
using BuildTrack.Records.Storage;
using BuildTrack.Records.Surveys;
using BuildTrack.Records.Temperatures;
using BuildTrack.Records.Trends;
using BuildTrack.Records.Witnessing;
using Microsoft.Extensions.DependencyInjection;

namespace BuildTrack.Records;

/// <summary>Everything a host needs to keep records. The host adds a TimeProvider, logging and the certificate renderer.</summary>
public static class RecordsServices
{
    public static IServiceCollection AddBuildTrackRecords(this IServiceCollection services, StoreSettings settings)
    {
        services.AddSingleton(settings).AddSingleton<Store>().AddSingleton<Migrator>().AddSingleton<FileStore>().AddSingleton<ActRunner>();
        services.AddSingleton<PasswordCheck>().AddSingleton<SessionStore>().AddSingleton<PeopleReader>().AddSingleton<PeopleActs>().AddSingleton<FirstStart>();
        services.AddSingleton<TabletActs>().AddSingleton<TabletReader>().AddSingleton<ShortSignIn>();
        services.AddSingleton<PlantReader>().AddSingleton<PlantActs>().AddSingleton<InstrumentReader>().AddSingleton<InstrumentActs>().AddSingleton<InstrumentRecordActs>();
        services.AddSingleton<ChecklistReader>().AddSingleton<ChecklistActs>().AddSingleton<RevisionComparer>().AddSingleton<MachineDigests>().AddSingleton<Finder>().AddSingleton<MachineReader>().AddSingleton<MachineActs>().AddSingleton<RouteActs>().AddSingleton<NonconformanceActs>();
        services.AddSingleton<NonconformanceReader>().AddSingleton<PunchActs>().AddSingleton<AffectedActs>().AddSingleton<AffectedReader>().AddSingleton<CorrectionActs>().AddSingleton<CorrectionReader>().AddSingleton<CheckHistoryReader>().AddSingleton<TrendReader>().AddSingleton<FootActs>().AddSingleton<FootReader>().AddSingleton<ChangeHistoryReader>();
        services.AddSingleton<WorkCentreReader>().AddSingleton<SurveyActs>().AddSingleton<OwnColumnsLook>().AddSingleton<TemperatureActs>().AddSingleton<TemperatureReader>().AddSingleton<PlanReader>().AddSingleton<RepeatReader>();
        services.AddSingleton<CertificateIssuer>().AddSingleton<ReleaseActs>().AddSingleton<CertificateReader>().AddSingleton<SeriesReader>().AddSingleton<CertificateActs>();
        services.AddSingleton<OutboxWorker>().AddSingleton<HistoryReader>().AddSingleton<LongWorkBook>().AddSingleton<LongWorker>();
        services.AddSingleton(s => new LongWorkKind(HistoryReader.Check, async (tell, ct) => await s.GetRequiredService<HistoryReader>().Verify(tell, ct)));
        services.AddSingleton<StepFileActs>().AddSingleton<StepFileReader>();
        services.AddSingleton<WitnessActs>().AddSingleton<CustomersPointActs>().AddSingleton<PaperActs>().AddSingleton<RecordReviewActs>();
        services.AddSingleton<CalendarActs>().AddSingleton<CalendarReader>().AddSingleton<KitActs>().AddSingleton<PromiseActs>().AddSingleton<DisclosureActs>().AddSingleton<ReadyDateReader>();
        services.AddSingleton<ComponentActs>().AddSingleton<ComponentReader>();
        services.AddSingleton<QualificationActs>().AddSingleton<QualificationReader>().AddSingleton<DelegationActs>().AddSingleton<DelegationReader>();
        return services;
    }
}
