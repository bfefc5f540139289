using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace BuildTrack.Records.Migrations.Postgres
{
    /// <inheritdoc />
    public partial class AsBuiltComponents : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.CreateTable(
                name: "Components",
                columns: table => new
                {
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    Serial = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Place = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Kind = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Number = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Firmware = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    Certificate = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    Begins = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    Ends = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    Replaces = table.Column<long>(type: "bigint", nullable: true),
                    Reason = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    Person = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    AtUs = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Components", x => x.Id);
                });

            migrationBuilder.CreateIndex(
                name: "IX_Components_Number",
                table: "Components",
                column: "Number");

            migrationBuilder.CreateIndex(
                name: "IX_Components_Replaces",
                table: "Components",
                column: "Replaces",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_Components_Serial",
                table: "Components",
                column: "Serial");
        }

        /// <inheritdoc />
        protected override void Down(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropTable(
                name: "Components");
        }
    }
}
