using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace BuildTrack.Records.Migrations.Postgres
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
                type: "integer",
                nullable: false,
                defaultValue: 1);

            migrationBuilder.CreateTable(
                name: "NonconformanceEntries",
                columns: table => new
                {
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    NonconformanceId = table.Column<long>(type: "bigint", nullable: false),
                    Act = table.Column<int>(type: "integer", nullable: false),
                    Person = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    AtUs = table.Column<long>(type: "bigint", nullable: false),
                    Detail = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Concession = table.Column<int>(type: "integer", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_NonconformanceEntries", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "Nonconformances",
                columns: table => new
                {
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    Number = table.Column<int>(type: "integer", nullable: false),
                    Serial = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Step = table.Column<int>(type: "integer", nullable: true),
                    Result = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    Seen = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    Severity = table.Column<int>(type: "integer", nullable: false),
                    Note = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    Person = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    AtUs = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Nonconformances", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "PunchEntries",
                columns: table => new
                {
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    ItemId = table.Column<long>(type: "bigint", nullable: false),
                    Act = table.Column<int>(type: "integer", nullable: false),
                    Person = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    AtUs = table.Column<long>(type: "bigint", nullable: false),
                    Text = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Class = table.Column<int>(type: "integer", nullable: true),
                    FileHash = table.Column<string>(type: "text", nullable: true, collation: "C")
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_PunchEntries", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "PunchItems",
                columns: table => new
                {
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    Serial = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    No = table.Column<int>(type: "integer", nullable: false),
                    Text = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Class = table.Column<int>(type: "integer", nullable: false),
                    Owner = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Outside = table.Column<bool>(type: "boolean", nullable: false),
                    Due = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Person = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    AtUs = table.Column<long>(type: "bigint", nullable: false)
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
