using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace BuildTrack.Records.Migrations.Postgres
{
    /// <inheritdoc />
    public partial class PlannersCalendars : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.CreateTable(
                name: "HolidayEnds",
                columns: table => new
                {
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    HolidayId = table.Column<long>(type: "bigint", nullable: false),
                    Reason = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Person = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    AtUs = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_HolidayEnds", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "Holidays",
                columns: table => new
                {
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    Day = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Name = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Person = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    AtUs = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Holidays", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "Kits",
                columns: table => new
                {
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    Serial = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Part = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Act = table.Column<int>(type: "integer", nullable: false),
                    Due = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    Note = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    Person = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    AtUs = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Kits", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "Promises",
                columns: table => new
                {
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    Serial = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Day = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Reason = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Person = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    AtUs = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Promises", x => x.Id);
                });

            migrationBuilder.CreateIndex(
                name: "IX_HolidayEnds_HolidayId",
                table: "HolidayEnds",
                column: "HolidayId",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_Kits_Serial",
                table: "Kits",
                column: "Serial");

            migrationBuilder.CreateIndex(
                name: "IX_Promises_Serial",
                table: "Promises",
                column: "Serial");
        }

        /// <inheritdoc />
        protected override void Down(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropTable(
                name: "HolidayEnds");

            migrationBuilder.DropTable(
                name: "Holidays");

            migrationBuilder.DropTable(
                name: "Kits");

            migrationBuilder.DropTable(
                name: "Promises");
        }
    }
}
