using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace BuildTrack.Records.Migrations.Postgres
{
    /// <inheritdoc />
    public partial class CustomersPoints : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.CreateTable(
                name: "CustomersPoints",
                columns: table => new
                {
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    Serial = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Revision = table.Column<int>(type: "integer", nullable: false),
                    Points = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    AgreedWith = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Reason = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    ApprovedBy = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    Person = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    AtUs = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_CustomersPoints", x => x.Id);
                });

            migrationBuilder.CreateIndex(
                name: "IX_CustomersPoints_Serial_Revision",
                table: "CustomersPoints",
                columns: new[] { "Serial", "Revision" },
                unique: true);
        }

        /// <inheritdoc />
        protected override void Down(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropTable(
                name: "CustomersPoints");
        }
    }
}
