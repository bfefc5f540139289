using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace BuildTrack.Records.Migrations.Sqlite
{
    /// <inheritdoc />
    public partial class AffectedReadings : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.CreateTable(
                name: "AffectedDecisions",
                columns: table => new
                {
                    Id = table.Column<long>(type: "INTEGER", nullable: false),
                    FindingId = table.Column<long>(type: "INTEGER", nullable: false),
                    Serial = table.Column<string>(type: "TEXT", nullable: false),
                    Kind = table.Column<int>(type: "INTEGER", nullable: false),
                    Person = table.Column<string>(type: "TEXT", nullable: false),
                    AtUs = table.Column<long>(type: "INTEGER", nullable: false),
                    Note = table.Column<string>(type: "TEXT", nullable: false),
                    Recalculated = table.Column<string>(type: "TEXT", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_AffectedDecisions", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "RunInstruments",
                columns: table => new
                {
                    RunId = table.Column<long>(type: "INTEGER", nullable: false),
                    Instrument = table.Column<string>(type: "TEXT", nullable: false),
                    Day = table.Column<string>(type: "TEXT", nullable: false),
                    Serial = table.Column<string>(type: "TEXT", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_RunInstruments", x => new { x.RunId, x.Instrument });
                });

            migrationBuilder.CreateTable(
                name: "UnfitFindings",
                columns: table => new
                {
                    Id = table.Column<long>(type: "INTEGER", nullable: false),
                    Instrument = table.Column<string>(type: "TEXT", nullable: false),
                    Revision = table.Column<int>(type: "INTEGER", nullable: false),
                    Found = table.Column<string>(type: "TEXT", nullable: false),
                    Allowed = table.Column<string>(type: "TEXT", nullable: false),
                    LastGood = table.Column<string>(type: "TEXT", nullable: false),
                    FoundOn = table.Column<string>(type: "TEXT", nullable: false),
                    Reference = table.Column<string>(type: "TEXT", nullable: false),
                    Person = table.Column<string>(type: "TEXT", nullable: false),
                    AtUs = table.Column<long>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_UnfitFindings", x => x.Id);
                });

            migrationBuilder.CreateIndex(
                name: "IX_AffectedDecisions_FindingId_Serial",
                table: "AffectedDecisions",
                columns: new[] { "FindingId", "Serial" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_AffectedDecisions_Serial",
                table: "AffectedDecisions",
                column: "Serial");

            migrationBuilder.CreateIndex(
                name: "IX_RunInstruments_Instrument_Day_Serial",
                table: "RunInstruments",
                columns: new[] { "Instrument", "Day", "Serial" });

            migrationBuilder.CreateIndex(
                name: "IX_RunInstruments_Serial",
                table: "RunInstruments",
                column: "Serial");

            migrationBuilder.CreateIndex(
                name: "IX_UnfitFindings_Instrument",
                table: "UnfitFindings",
                column: "Instrument");

            // Runs that were there before: their instruments stand in the frozen part of the run.
            migrationBuilder.Sql(
                """
                INSERT INTO "RunInstruments" ("RunId", "Instrument", "Day", "Serial")
                SELECT r."Id", json_extract(i.value, '$.id'), r."Day", r."Serial"
                FROM "Runs" r, json_each(r."Detail", '$.instruments') i
                """);
        }

        /// <inheritdoc />
        protected override void Down(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropTable(
                name: "AffectedDecisions");

            migrationBuilder.DropTable(
                name: "RunInstruments");

            migrationBuilder.DropTable(
                name: "UnfitFindings");
        }
    }
}
