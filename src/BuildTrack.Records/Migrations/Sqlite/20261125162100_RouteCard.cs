using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace BuildTrack.Records.Migrations.Sqlite
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
                    Id = table.Column<long>(type: "INTEGER", nullable: false),
                    Serial = table.Column<string>(type: "TEXT", nullable: false),
                    Step = table.Column<int>(type: "INTEGER", nullable: true),
                    Act = table.Column<int>(type: "INTEGER", nullable: false),
                    Person = table.Column<string>(type: "TEXT", nullable: false),
                    AtUs = table.Column<long>(type: "INTEGER", nullable: false),
                    Reason = table.Column<string>(type: "TEXT", nullable: true)
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
