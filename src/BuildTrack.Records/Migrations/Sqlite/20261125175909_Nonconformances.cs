using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace BuildTrack.Records.Migrations.Sqlite
{
    /// <inheritdoc />
    public partial class Nonconformances : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.AddColumn<int>(
                name: "FirstNonconformance",
                table: "Plants",
                type: "INTEGER",
                nullable: false,
                defaultValue: 1);

            migrationBuilder.CreateTable(
                name: "NonconformanceEntries",
                columns: table => new
                {
                    Id = table.Column<long>(type: "INTEGER", nullable: false),
                    NonconformanceId = table.Column<long>(type: "INTEGER", nullable: false),
                    Act = table.Column<int>(type: "INTEGER", nullable: false),
                    Person = table.Column<string>(type: "TEXT", nullable: false),
                    AtUs = table.Column<long>(type: "INTEGER", nullable: false),
                    Detail = table.Column<string>(type: "TEXT", nullable: false),
                    Concession = table.Column<int>(type: "INTEGER", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_NonconformanceEntries", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "Nonconformances",
                columns: table => new
                {
                    Id = table.Column<long>(type: "INTEGER", nullable: false),
                    Number = table.Column<int>(type: "INTEGER", nullable: false),
                    Serial = table.Column<string>(type: "TEXT", nullable: false),
                    Step = table.Column<int>(type: "INTEGER", nullable: true),
                    Result = table.Column<string>(type: "TEXT", nullable: true),
                    Seen = table.Column<string>(type: "TEXT", nullable: true),
                    Severity = table.Column<int>(type: "INTEGER", nullable: false),
                    Note = table.Column<string>(type: "TEXT", nullable: true),
                    Person = table.Column<string>(type: "TEXT", nullable: false),
                    AtUs = table.Column<long>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Nonconformances", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "PunchEntries",
                columns: table => new
                {
                    Id = table.Column<long>(type: "INTEGER", nullable: false),
                    ItemId = table.Column<long>(type: "INTEGER", nullable: false),
                    Act = table.Column<int>(type: "INTEGER", nullable: false),
                    Person = table.Column<string>(type: "TEXT", nullable: false),
                    AtUs = table.Column<long>(type: "INTEGER", nullable: false),
                    Text = table.Column<string>(type: "TEXT", nullable: false),
                    Class = table.Column<int>(type: "INTEGER", nullable: true),
                    FileHash = table.Column<string>(type: "TEXT", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_PunchEntries", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "PunchItems",
                columns: table => new
                {
                    Id = table.Column<long>(type: "INTEGER", nullable: false),
                    Serial = table.Column<string>(type: "TEXT", nullable: false),
                    No = table.Column<int>(type: "INTEGER", nullable: false),
                    Text = table.Column<string>(type: "TEXT", nullable: false),
                    Class = table.Column<int>(type: "INTEGER", nullable: false),
                    Owner = table.Column<string>(type: "TEXT", nullable: false),
                    Outside = table.Column<bool>(type: "INTEGER", nullable: false),
                    Due = table.Column<string>(type: "TEXT", nullable: false),
                    Person = table.Column<string>(type: "TEXT", nullable: false),
                    AtUs = table.Column<long>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_PunchItems", x => x.Id);
                });

            migrationBuilder.CreateIndex(
                name: "IX_NonconformanceEntries_Concession",
                table: "NonconformanceEntries",
                column: "Concession",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_NonconformanceEntries_NonconformanceId",
                table: "NonconformanceEntries",
                column: "NonconformanceId");

            migrationBuilder.CreateIndex(
                name: "IX_Nonconformances_Number",
                table: "Nonconformances",
                column: "Number",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_Nonconformances_Serial",
                table: "Nonconformances",
                column: "Serial");

            migrationBuilder.CreateIndex(
                name: "IX_PunchEntries_ItemId",
                table: "PunchEntries",
                column: "ItemId");

            migrationBuilder.CreateIndex(
                name: "IX_PunchItems_Serial_No",
                table: "PunchItems",
                columns: new[] { "Serial", "No" },
                unique: true);
        }

        /// <inheritdoc />
        protected override void Down(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropTable(
                name: "NonconformanceEntries");

            migrationBuilder.DropTable(
                name: "Nonconformances");

            migrationBuilder.DropTable(
                name: "PunchEntries");

            migrationBuilder.DropTable(
                name: "PunchItems");

            migrationBuilder.DropColumn(
                name: "FirstNonconformance",
                table: "Plants");
        }
    }
}
