using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace BuildTrack.Records.Migrations.Postgres
{
    /// <inheritdoc />
    public partial class RouteCard : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.CreateTable(
                name: "RouteCard",
                columns: table => new
                {
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    Serial = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Step = table.Column<int>(type: "integer", nullable: true),
                    Act = table.Column<int>(type: "integer", nullable: false),
                    Person = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    AtUs = table.Column<long>(type: "bigint", nullable: false),
                    Reason = table.Column<string>(type: "text", nullable: true, collation: "C")
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_RouteCard", x => x.Id);
                });

            migrationBuilder.CreateIndex(
                name: "IX_RouteCard_Serial",
                table: "RouteCard",
                column: "Serial");
        }

        /// <inheritdoc />
        protected override void Down(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropTable(
                name: "RouteCard");
        }
    }
}
