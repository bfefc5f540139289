using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Design;

namespace BuildTrack.Records.Storage;

/// <summary>One model for both databases; each has its own migrations.</summary>
public abstract class Db(DbContextOptions options) : DbContext(options)
{
    /// <summary>Readings that were read before; null where every question goes to the database itself.</summary>
    internal KeptReadings? KeptReadings { get; set; }

    public DbSet<HeadRow> Head => Set<HeadRow>();
    public DbSet<ActRow> Acts => Set<ActRow>();
    public DbSet<PersonRow> Persons => Set<PersonRow>();
    public DbSet<SessionRow> Sessions => Set<SessionRow>();
    public DbSet<PlantRow> Plants => Set<PlantRow>();
    public DbSet<ChecklistRow> Checklists => Set<ChecklistRow>();
    public DbSet<InstrumentRow> Instruments => Set<InstrumentRow>();
    public DbSet<InstrumentRecordRow> InstrumentRecords => Set<InstrumentRecordRow>();
    public DbSet<MachineRow> Machines => Set<MachineRow>();
    public DbSet<MeasurementRow> Measurements => Set<MeasurementRow>();
    public DbSet<RunRow> Runs => Set<RunRow>();
    public DbSet<ReadingRow> Readings => Set<ReadingRow>();
    public DbSet<BedChangeRow> BedChanges => Set<BedChangeRow>();
    public DbSet<RouteRow> Route => Set<RouteRow>();
    public DbSet<NonconformanceRow> Nonconformances => Set<NonconformanceRow>();
    public DbSet<NonconformanceEntryRow> NonconformanceEntries => Set<NonconformanceEntryRow>();
    public DbSet<PunchItemRow> PunchItems => Set<PunchItemRow>();
    public DbSet<PunchEntryRow> PunchEntries => Set<PunchEntryRow>();
    public DbSet<EvaluationRow> Evaluations => Set<EvaluationRow>();
    public DbSet<HoldDecisionRow> Decisions => Set<HoldDecisionRow>();
    public DbSet<CertificateRow> Certificates => Set<CertificateRow>();
    public DbSet<NumberRow> Numbers => Set<NumberRow>();
    public DbSet<RunInstrumentRow> RunInstruments => Set<RunInstrumentRow>();
    public DbSet<CorrectionChoiceRow> CorrectionChoices => Set<CorrectionChoiceRow>();
    public DbSet<FootRoundRow> FootRounds => Set<FootRoundRow>();
    public DbSet<TemperatureRoundRow> TemperatureRounds => Set<TemperatureRoundRow>();
    public DbSet<ProbeComparisonRow> ProbeComparisons => Set<ProbeComparisonRow>();
    public DbSet<UnfitFindingRow> UnfitFindings => Set<UnfitFindingRow>();
    public DbSet<AffectedDecisionRow> AffectedDecisions => Set<AffectedDecisionRow>();
    public DbSet<ComponentRow> Components => Set<ComponentRow>();
    public DbSet<WitnessRow> Witnesses => Set<WitnessRow>();
    public DbSet<QualificationRow> Qualifications => Set<QualificationRow>();
    public DbSet<QualificationEndRow> QualificationEnds => Set<QualificationEndRow>();
    public DbSet<DelegationRow> Delegations => Set<DelegationRow>();
    public DbSet<DelegationEndRow> DelegationEnds => Set<DelegationEndRow>();
    public DbSet<HolidayRow> Holidays => Set<HolidayRow>();
    public DbSet<HolidayEndRow> HolidayEnds => Set<HolidayEndRow>();
    public DbSet<DisclosureRow> Disclosures => Set<DisclosureRow>();
    public DbSet<CustomersPointsRow> CustomersPoints => Set<CustomersPointsRow>();
    public DbSet<PromiseRow> Promises => Set<PromiseRow>();
    public DbSet<KitRow> Kits => Set<KitRow>();
    public DbSet<TabletRow> Tablets => Set<TabletRow>();
    public DbSet<TabletEndRow> TabletEnds => Set<TabletEndRow>();
    public DbSet<PinRow> Pins => Set<PinRow>();
    public DbSet<PinTryRow> PinTries => Set<PinTryRow>();
    public DbSet<BadgeRow> Badges => Set<BadgeRow>();
    public DbSet<BadgeEndRow> BadgeEnds => Set<BadgeEndRow>();
    public DbSet<OutboxRow> Outbox => Set<OutboxRow>();
    public DbSet<LongWorkRow> LongWorks => Set<LongWorkRow>();
    public DbSet<FileRow> Files => Set<FileRow>();
    public DbSet<StepFileRow> StepFiles => Set<StepFileRow>();
    public DbSet<RecordReviewRow> RecordReviews => Set<RecordReviewRow>();
    public DbSet<FileSetAsideRow> FilesSetAside => Set<FileSetAsideRow>();
    public DbSet<PaperProtocolRow> PaperProtocols => Set<PaperProtocolRow>();
    public DbSet<PaperComparisonRow> PaperComparisons => Set<PaperComparisonRow>();

    protected override void OnModelCreating(ModelBuilder modelBuilder)
    {
        ArgumentNullException.ThrowIfNull(modelBuilder);
        modelBuilder.Entity<HeadRow>(e => { e.ToTable("Head"); e.Property(r => r.Id).ValueGeneratedNever(); e.HasData(new HeadRow { Id = 1, Sequence = 0, Hash = Genesis, NextId = 1 }); });
        modelBuilder.Entity<ActRow>(e => { e.ToTable("Acts"); e.HasKey(r => r.Sequence); e.Property(r => r.Sequence).ValueGeneratedNever(); e.HasIndex(r => r.Key).IsUnique(); e.HasIndex(r => r.Subject); });
        modelBuilder.Entity<PersonRow>(e => { e.ToTable("Persons"); e.HasKey(r => r.Person); });
        modelBuilder.Entity<SessionRow>(e => { e.ToTable("Sessions"); e.HasKey(r => r.SecretHash); e.HasIndex(r => r.Person); });
        modelBuilder.Entity<PlantRow>(e => { e.ToTable("Plants"); e.Property(r => r.Id).ValueGeneratedNever(); });
        modelBuilder.Entity<ChecklistRow>(e => { e.ToTable("Checklists"); e.HasKey(r => r.Hash); });
        modelBuilder.Entity<InstrumentRow>(e => { e.ToTable("Instruments"); e.HasKey(r => new { r.Id, r.Revision }); });
        modelBuilder.Entity<InstrumentRecordRow>(e => { e.ToTable("InstrumentRecords"); Ours(e); e.HasIndex(r => new { r.Instrument, r.Kind }); });
        modelBuilder.Entity<MachineRow>(e => { e.ToTable("Machines"); e.HasKey(r => r.Serial); });
        modelBuilder.Entity<MeasurementRow>(e => { e.ToTable("Measurements"); Ours(e); e.HasIndex(r => new { r.Serial, r.Survey, r.Feature, r.No }).IsUnique(); });
        modelBuilder.Entity<RunRow>(e => { e.ToTable("Runs"); Ours(e); e.HasIndex(r => new { r.MeasurementId, r.No }).IsUnique(); e.HasIndex(r => r.Serial); });
        modelBuilder.Entity<RunInstrumentRow>(e => { e.ToTable("RunInstruments"); e.HasKey(r => new { r.RunId, r.Instrument }); e.HasIndex(r => new { r.Instrument, r.Day, r.Serial }); e.HasIndex(r => r.Serial); });
        modelBuilder.Entity<CorrectionChoiceRow>(e => { e.ToTable("CorrectionChoices"); Ours(e); e.HasIndex(r => r.Serial); });
        modelBuilder.Entity<FootRoundRow>(e => { e.ToTable("FootRounds"); Ours(e); e.HasIndex(r => r.Serial); });
        modelBuilder.Entity<TemperatureRoundRow>(e => { e.ToTable("TemperatureRounds"); Ours(e); e.HasIndex(r => r.Serial); });
        modelBuilder.Entity<ProbeComparisonRow>(e => { e.ToTable("ProbeComparisons"); Ours(e); e.HasIndex(r => r.Day); });
        modelBuilder.Entity<UnfitFindingRow>(e => { e.ToTable("UnfitFindings"); Ours(e); e.HasIndex(r => r.Instrument); });
        modelBuilder.Entity<AffectedDecisionRow>(e => { e.ToTable("AffectedDecisions"); Ours(e); e.HasIndex(r => new { r.FindingId, r.Serial }).IsUnique(); e.HasIndex(r => r.Serial); });
        modelBuilder.Entity<ComponentRow>(e => { e.ToTable("Components"); Ours(e); e.HasIndex(r => r.Serial); e.HasIndex(r => r.Number); e.HasIndex(r => r.Replaces).IsUnique(); });
        modelBuilder.Entity<WitnessRow>(e => { e.ToTable("Witnesses"); Ours(e); e.HasIndex(r => r.Serial); });
        modelBuilder.Entity<QualificationRow>(e => { e.ToTable("Qualifications"); Ours(e); e.HasIndex(r => new { r.List, r.Person }); });
        modelBuilder.Entity<QualificationEndRow>(e => { e.ToTable("QualificationEnds"); Ours(e); e.HasIndex(r => r.EntryId).IsUnique(); });
        modelBuilder.Entity<DelegationRow>(e => { e.ToTable("Delegations"); Ours(e); e.HasIndex(r => r.No).IsUnique(); e.HasIndex(r => r.ToPerson); });
        modelBuilder.Entity<DelegationEndRow>(e => { e.ToTable("DelegationEnds"); Ours(e); e.HasIndex(r => r.No).IsUnique(); });
        modelBuilder.Entity<HolidayRow>(e => { e.ToTable("Holidays"); Ours(e); });
        modelBuilder.Entity<HolidayEndRow>(e => { e.ToTable("HolidayEnds"); Ours(e); e.HasIndex(r => r.HolidayId).IsUnique(); });
        modelBuilder.Entity<DisclosureRow>(e => { e.ToTable("Disclosures"); Ours(e); e.HasIndex(r => new { r.Serial, r.Revision }).IsUnique(); });
        modelBuilder.Entity<CustomersPointsRow>(e => { e.ToTable("CustomersPoints"); Ours(e); e.HasIndex(r => new { r.Serial, r.Revision }).IsUnique(); });
        modelBuilder.Entity<PromiseRow>(e => { e.ToTable("Promises"); Ours(e); e.HasIndex(r => r.Serial); });
        modelBuilder.Entity<KitRow>(e => { e.ToTable("Kits"); Ours(e); e.HasIndex(r => r.Serial); });
        modelBuilder.Entity<TabletRow>(e => { e.ToTable("Tablets"); Ours(e); e.HasIndex(r => r.SecretHash).IsUnique(); });
        modelBuilder.Entity<TabletEndRow>(e => { e.ToTable("TabletEnds"); Ours(e); e.HasIndex(r => r.TabletId).IsUnique(); });
        modelBuilder.Entity<PinRow>(e => { e.ToTable("Pins"); Ours(e); e.HasIndex(r => r.Person); });
        modelBuilder.Entity<PinTryRow>(e => { e.ToTable("PinTries"); e.HasKey(r => r.Person); });
        modelBuilder.Entity<BadgeRow>(e => { e.ToTable("Badges"); Ours(e); e.HasIndex(r => r.SecretHash).IsUnique(); e.HasIndex(r => r.Person); });
        modelBuilder.Entity<BadgeEndRow>(e => { e.ToTable("BadgeEnds"); Ours(e); e.HasIndex(r => r.BadgeId).IsUnique(); });
        modelBuilder.Entity<ReadingRow>(e => { e.ToTable("Readings"); Ours(e); e.HasIndex(r => r.RunId); e.HasIndex(r => r.Serial); e.HasIndex(r => r.Supersedes).IsUnique(); });
        modelBuilder.Entity<BedChangeRow>(e => { e.ToTable("BedChanges"); Ours(e); e.HasIndex(r => r.Serial); });
        modelBuilder.Entity<RouteRow>(e => { e.ToTable("RouteCard"); Ours(e); e.HasIndex(r => r.Serial); });
        modelBuilder.Entity<NonconformanceRow>(e => { e.ToTable("Nonconformances"); Ours(e); e.HasIndex(r => r.Number).IsUnique(); e.HasIndex(r => r.Serial); });
        modelBuilder.Entity<NonconformanceEntryRow>(e => { e.ToTable("NonconformanceEntries"); Ours(e); e.HasIndex(r => r.NonconformanceId); e.HasIndex(r => r.Concession).IsUnique(); });
        modelBuilder.Entity<PunchItemRow>(e => { e.ToTable("PunchItems"); Ours(e); e.HasIndex(r => new { r.Serial, r.No }).IsUnique(); });
        modelBuilder.Entity<PunchEntryRow>(e => { e.ToTable("PunchEntries"); Ours(e); e.HasIndex(r => r.ItemId); });
        modelBuilder.Entity<EvaluationRow>(e => { e.ToTable("Evaluations"); Ours(e); e.HasIndex(r => new { r.Serial, r.Line }); });
        modelBuilder.Entity<HoldDecisionRow>(e => { e.ToTable("HoldDecisions"); Ours(e); e.HasIndex(r => r.Serial); });
        modelBuilder.Entity<CertificateRow>(e =>
        {
            e.ToTable("Certificates");
            Ours(e);
            e.HasIndex(r => new { r.Serial, r.Scope, r.Issue }).IsUnique();
            e.HasIndex(r => new { r.Number, r.Issue }).IsUnique();
        });
        modelBuilder.Entity<NumberRow>(e => { e.ToTable("Numbers"); e.HasKey(r => r.Year); e.Property(r => r.Year).ValueGeneratedNever(); });
        modelBuilder.Entity<OutboxRow>(e => { e.ToTable("Outbox"); Ours(e); e.HasIndex(r => new { r.Kind, r.Subject }).IsUnique(); });
        modelBuilder.Entity<LongWorkRow>(e => { e.ToTable("LongWorks"); e.HasKey(r => r.Work); e.HasIndex(r => r.Kind).IsUnique().HasFilter("\"EndedUs\" IS NULL"); });
        modelBuilder.Entity<FileRow>(e => { e.ToTable("Files"); e.HasKey(r => r.Hash); });
        modelBuilder.Entity<StepFileRow>(e => { e.ToTable("StepFiles"); Ours(e); e.HasIndex(r => r.Serial); });
        modelBuilder.Entity<RecordReviewRow>(e => { e.ToTable("RecordReviews"); Ours(e); e.HasIndex(r => r.Serial); });
        modelBuilder.Entity<FileSetAsideRow>(e => { e.ToTable("FilesSetAside"); Ours(e); e.HasIndex(r => r.FileId).IsUnique(); e.HasIndex(r => r.Serial); });
        modelBuilder.Entity<PaperProtocolRow>(e => { e.ToTable("PaperProtocols"); Ours(e); e.HasIndex(r => r.Serial); });
        modelBuilder.Entity<PaperComparisonRow>(e => { e.ToTable("PaperComparisons"); Ours(e); e.HasIndex(r => r.Serial); });
    }

    /// <summary>What stands before the first act.</summary>
    public const string Genesis = "0000000000000000000000000000000000000000000000000000000000000000";

    // Ids come from the head row, in the act's own transaction: the same in both databases, without gaps between acts.
    private static void Ours<T>(Microsoft.EntityFrameworkCore.Metadata.Builders.EntityTypeBuilder<T> entity)
        where T : class
    {
        entity.HasKey("Id");
        entity.Property<long>("Id").ValueGeneratedNever();
    }
}

public sealed class SqliteDb(DbContextOptions<SqliteDb> options) : Db(options);

public sealed class PostgresDb(DbContextOptions<PostgresDb> options) : Db(options)
{
    protected override void ConfigureConventions(ModelConfigurationBuilder configurationBuilder)
    {
        ArgumentNullException.ThrowIfNull(configurationBuilder);
        // Comparison by code point, as SQLite does it.
        configurationBuilder.Properties<string>().UseCollation("C");
    }
}

/// <summary>For <c>dotnet ef</c> only.</summary>
public sealed class SqliteDesign : IDesignTimeDbContextFactory<SqliteDb>
{
    public SqliteDb CreateDbContext(string[] args) => new(new DbContextOptionsBuilder<SqliteDb>().UseSqlite("Data Source=design.db").Options);
}

/// <summary>For <c>dotnet ef</c> only.</summary>
public sealed class PostgresDesign : IDesignTimeDbContextFactory<PostgresDb>
{
    public PostgresDb CreateDbContext(string[] args) => new(new DbContextOptionsBuilder<PostgresDb>().UseNpgsql("Host=design").Options);
}
