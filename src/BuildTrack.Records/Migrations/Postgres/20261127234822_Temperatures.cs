using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace BuildTrack.Records.Migrations.Postgres
{
    /// <inheritdoc />
    public partial class Temperatures : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.CreateTable(
                name: "ProbeComparisons",
                columns: table => new
                {
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    Day = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Person = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    AtUs = table.Column<long>(type: "bigint", nullable: false),
                    Comparison = table.Column<string>(type: "text", nullable: false, collation: "C")
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_ProbeComparisons", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "TemperatureRounds",
                columns: table => new
                {
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    Serial = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Step = table.Column<int>(type: "integer", nullable: false),
                    Day = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Person = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    AtUs = table.Column<long>(type: "bigint", nullable: false),
                    Round = table.Column<string>(type: "text", nullable: false, collation: "C")
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_TemperatureRounds", x => x.Id);
                });

            migrationBuilder.CreateIndex(
                name: "IX_ProbeComparisons_Day",
                table: "ProbeComparisons",
                column: "Day");

            migrationBuilder.CreateIndex(
                name: "IX_TemperatureRounds_Serial",
                table: "TemperatureRounds",
                column: "Serial");
        }

        /// <inheritdoc />
        protected override void Down(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropTable(
                name: "ProbeComparisons");

            migrationBuilder.DropTable(
                name: "TemperatureRounds");
        }
    }
}
