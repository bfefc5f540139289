using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace BuildTrack.Records.Migrations.Postgres
{
    /// <inheritdoc />
    public partial class ReworkTriggers : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.AddColumn<int>(
                name: "FoundAt",
                table: "RouteCard",
                type: "integer",
                nullable: true);

            migrationBuilder.AddColumn<string>(
                name: "Trigger",
                table: "RouteCard",
                type: "text",
                nullable: true,
                collation: "C");
        }

        /// <inheritdoc />
        protected override void Down(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropColumn(
                name: "FoundAt",
                table: "RouteCard");

            migrationBuilder.DropColumn(
                name: "Trigger",
                table: "RouteCard");
        }
    }
}
