using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace BuildTrack.Records.Migrations.Postgres
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
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    FindingId = table.Column<long>(type: "bigint", nullable: false),
                    Serial = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Kind = table.Column<int>(type: "integer", nullable: false),
                    Person = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    AtUs = table.Column<long>(type: "bigint", nullable: false),
                    Note = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Recalculated = table.Column<string>(type: "text", nullable: false, collation: "C")
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_AffectedDecisions", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "RunInstruments",
                columns: table => new
                {
                    RunId = table.Column<long>(type: "bigint", nullable: false),
                    Instrument = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Day = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Serial = table.Column<string>(type: "text", nullable: false, collation: "C")
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_RunInstruments", x => new { x.RunId, x.Instrument });
                });

            migrationBuilder.CreateTable(
                name: "UnfitFindings",
                columns: table => new
                {
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    Instrument = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Revision = table.Column<int>(type: "integer", nullable: false),
                    Found = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Allowed = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    LastGood = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    FoundOn = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Reference = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Person = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    AtUs = table.Column<long>(type: "bigint", nullable: false)
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
                SELECT r."Id", i ->> 'id', r."Day", r."Serial"
                FROM "Runs" r, jsonb_array_elements(r."Detail"::jsonb -> 'instruments') i
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
