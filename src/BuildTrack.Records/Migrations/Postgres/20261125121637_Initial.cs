using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace BuildTrack.Records.Migrations.Postgres
{
    /// <inheritdoc />
    public partial class Initial : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.CreateTable(
                name: "Acts",
                columns: table => new
                {
                    Sequence = table.Column<long>(type: "bigint", nullable: false),
                    AtUs = table.Column<long>(type: "bigint", nullable: false),
                    Person = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Kind = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Subject = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Payload = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    PreviousHash = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Hash = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Key = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    RequestHash = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Outcome = table.Column<string>(type: "text", nullable: false, collation: "C")
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Acts", x => x.Sequence);
                });

            migrationBuilder.CreateTable(
                name: "BedChanges",
                columns: table => new
                {
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    Serial = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Change = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Note = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Person = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    AtUs = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_BedChanges", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "Certificates",
                columns: table => new
                {
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    Serial = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Scope = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Number = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Issue = table.Column<int>(type: "integer", nullable: false),
                    Stage = table.Column<int>(type: "integer", nullable: false),
                    AtUs = table.Column<long>(type: "bigint", nullable: false),
                    RecordText = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    RecordHash = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    FileHash = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    VoidReason = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    VoidedBy = table.Column<string>(type: "text", nullable: true, collation: "C")
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Certificates", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "Checklists",
                columns: table => new
                {
                    Hash = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Edition = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Files = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Order = table.Column<long>(type: "bigint", nullable: false),
                    LoadedUs = table.Column<long>(type: "bigint", nullable: false),
                    LoadedBy = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    ApprovedUs = table.Column<long>(type: "bigint", nullable: true),
                    ApprovedBy = table.Column<string>(type: "text", nullable: true, collation: "C")
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Checklists", x => x.Hash);
                });

            migrationBuilder.CreateTable(
                name: "Evaluations",
                columns: table => new
                {
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    Serial = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Line = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Hash = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Text = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    AtUs = table.Column<long>(type: "bigint", nullable: false),
                    State = table.Column<int>(type: "integer", nullable: false),
                    Verdict = table.Column<int>(type: "integer", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Evaluations", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "Files",
                columns: table => new
                {
                    Hash = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Name = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    MediaType = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Size = table.Column<long>(type: "bigint", nullable: false),
                    AtUs = table.Column<long>(type: "bigint", nullable: false),
                    By = table.Column<string>(type: "text", nullable: false, collation: "C")
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Files", x => x.Hash);
                });

            migrationBuilder.CreateTable(
                name: "Head",
                columns: table => new
                {
                    Id = table.Column<int>(type: "integer", nullable: false),
                    Sequence = table.Column<long>(type: "bigint", nullable: false),
                    Hash = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    NextId = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Head", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "HoldDecisions",
                columns: table => new
                {
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    Serial = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Hold = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Kind = table.Column<int>(type: "integer", nullable: false),
                    Person = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    AtUs = table.Column<long>(type: "bigint", nullable: false),
                    Reason = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    Sheet = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Evaluations = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Act = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_HoldDecisions", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "Instruments",
                columns: table => new
                {
                    Id = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Revision = table.Column<int>(type: "integer", nullable: false),
                    Entry = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    AtUs = table.Column<long>(type: "bigint", nullable: false),
                    By = table.Column<string>(type: "text", nullable: false, collation: "C")
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Instruments", x => new { x.Id, x.Revision });
                });

            migrationBuilder.CreateTable(
                name: "Machines",
                columns: table => new
                {
                    Serial = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Model = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Customer = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    ChecklistHash = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Order = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    OrderedUs = table.Column<long>(type: "bigint", nullable: false),
                    Version = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Machines", x => x.Serial);
                });

            migrationBuilder.CreateTable(
                name: "Measurements",
                columns: table => new
                {
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    Serial = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Survey = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Feature = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    No = table.Column<int>(type: "integer", nullable: false),
                    PassesPlanned = table.Column<int>(type: "integer", nullable: false),
                    RepeatedBecause = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    BegunUs = table.Column<long>(type: "bigint", nullable: false),
                    BegunBy = table.Column<string>(type: "text", nullable: false, collation: "C")
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Measurements", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "Numbers",
                columns: table => new
                {
                    Year = table.Column<int>(type: "integer", nullable: false),
                    Last = table.Column<int>(type: "integer", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Numbers", x => x.Year);
                });

            migrationBuilder.CreateTable(
                name: "Outbox",
                columns: table => new
                {
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    Kind = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Subject = table.Column<long>(type: "bigint", nullable: false),
                    CreatedUs = table.Column<long>(type: "bigint", nullable: false),
                    Attempts = table.Column<int>(type: "integer", nullable: false),
                    NextUs = table.Column<long>(type: "bigint", nullable: false),
                    LastError = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    Dead = table.Column<bool>(type: "boolean", nullable: false),
                    DoneUs = table.Column<long>(type: "bigint", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Outbox", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "Persons",
                columns: table => new
                {
                    Person = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Name = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    PasswordHash = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Roles = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Disabled = table.Column<bool>(type: "boolean", nullable: false),
                    AddedUs = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Persons", x => x.Person);
                });

            migrationBuilder.CreateTable(
                name: "Plants",
                columns: table => new
                {
                    Id = table.Column<int>(type: "integer", nullable: false),
                    Name = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Prefix = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    FirstNumber = table.Column<int>(type: "integer", nullable: false),
                    TimeZone = table.Column<string>(type: "text", nullable: false, collation: "C")
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Plants", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "Readings",
                columns: table => new
                {
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    RunId = table.Column<long>(type: "bigint", nullable: false),
                    Serial = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Place = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Column = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    ValueKind = table.Column<int>(type: "integer", nullable: false),
                    Typed = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Unit = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    Nanometres = table.Column<long>(type: "bigint", nullable: true),
                    Number = table.Column<double>(type: "double precision", nullable: true),
                    FileHash = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    AtUs = table.Column<long>(type: "bigint", nullable: false),
                    Person = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Route = table.Column<int>(type: "integer", nullable: false),
                    Supersedes = table.Column<long>(type: "bigint", nullable: true),
                    Reason = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    Hash = table.Column<string>(type: "text", nullable: false, collation: "C")
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Readings", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "Runs",
                columns: table => new
                {
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    MeasurementId = table.Column<long>(type: "bigint", nullable: false),
                    Serial = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    No = table.Column<int>(type: "integer", nullable: false),
                    Kind = table.Column<int>(type: "integer", nullable: false),
                    Direction = table.Column<int>(type: "integer", nullable: true),
                    Arrow = table.Column<int>(type: "integer", nullable: true),
                    Person = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Day = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Detail = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Proves = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    FileHash = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    BegunUs = table.Column<long>(type: "bigint", nullable: false),
                    FinishedUs = table.Column<long>(type: "bigint", nullable: true),
                    ShownUs = table.Column<long>(type: "bigint", nullable: true),
                    DiscardedUs = table.Column<long>(type: "bigint", nullable: true),
                    DiscardedBy = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    DiscardedBecause = table.Column<string>(type: "text", nullable: true, collation: "C")
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Runs", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "Sessions",
                columns: table => new
                {
                    SecretHash = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Person = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Bearer = table.Column<bool>(type: "boolean", nullable: false),
                    CreatedUs = table.Column<long>(type: "bigint", nullable: false),
                    LastUs = table.Column<long>(type: "bigint", nullable: false),
                    EndedUs = table.Column<long>(type: "bigint", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Sessions", x => x.SecretHash);
                });

            migrationBuilder.InsertData(
                table: "Head",
                columns: new[] { "Id", "Hash", "NextId", "Sequence" },
                values: new object[] { 1, "0000000000000000000000000000000000000000000000000000000000000000", 1L, 0L });

            migrationBuilder.CreateIndex(
                name: "IX_Acts_Key",
                table: "Acts",
                column: "Key",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_Acts_Subject",
                table: "Acts",
                column: "Subject");

            migrationBuilder.CreateIndex(
                name: "IX_BedChanges_Serial",
                table: "BedChanges",
                column: "Serial");

            migrationBuilder.CreateIndex(
                name: "IX_Certificates_Number_Issue",
                table: "Certificates",
                columns: new[] { "Number", "Issue" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_Certificates_Serial_Scope_Issue",
                table: "Certificates",
                columns: new[] { "Serial", "Scope", "Issue" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_Evaluations_Serial_Line",
                table: "Evaluations",
                columns: new[] { "Serial", "Line" });

            migrationBuilder.CreateIndex(
                name: "IX_HoldDecisions_Serial",
                table: "HoldDecisions",
                column: "Serial");

            migrationBuilder.CreateIndex(
                name: "IX_Measurements_Serial_Survey_Feature_No",
                table: "Measurements",
                columns: new[] { "Serial", "Survey", "Feature", "No" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_Outbox_Kind_Subject",
                table: "Outbox",
                columns: new[] { "Kind", "Subject" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_Readings_RunId",
                table: "Readings",
                column: "RunId");

            migrationBuilder.CreateIndex(
                name: "IX_Readings_Serial",
                table: "Readings",
                column: "Serial");

            migrationBuilder.CreateIndex(
                name: "IX_Readings_Supersedes",
                table: "Readings",
                column: "Supersedes",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_Runs_MeasurementId_No",
                table: "Runs",
                columns: new[] { "MeasurementId", "No" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_Runs_Serial",
                table: "Runs",
                column: "Serial");

            migrationBuilder.CreateIndex(
                name: "IX_Sessions_Person",
                table: "Sessions",
                column: "Person");
        }

        /// <inheritdoc />
        protected override void Down(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropTable(
                name: "Acts");

            migrationBuilder.DropTable(
                name: "BedChanges");

            migrationBuilder.DropTable(
                name: "Certificates");

            migrationBuilder.DropTable(
                name: "Checklists");

            migrationBuilder.DropTable(
                name: "Evaluations");

            migrationBuilder.DropTable(
                name: "Files");

            migrationBuilder.DropTable(
                name: "Head");

            migrationBuilder.DropTable(
                name: "HoldDecisions");

            migrationBuilder.DropTable(
                name: "Instruments");

            migrationBuilder.DropTable(
                name: "Machines");

            migrationBuilder.DropTable(
                name: "Measurements");

            migrationBuilder.DropTable(
                name: "Numbers");

            migrationBuilder.DropTable(
                name: "Outbox");

            migrationBuilder.DropTable(
                name: "Persons");

            migrationBuilder.DropTable(
                name: "Plants");

            migrationBuilder.DropTable(
                name: "Readings");

            migrationBuilder.DropTable(
                name: "Runs");

            migrationBuilder.DropTable(
                name: "Sessions");
        }
    }
}
