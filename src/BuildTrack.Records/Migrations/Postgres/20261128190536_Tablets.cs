using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace BuildTrack.Records.Migrations.Postgres
{
    /// <inheritdoc />
    public partial class Tablets : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.AddColumn<string>(
                name: "Begun",
                table: "Sessions",
                type: "text",
                nullable: true,
                collation: "C");

            migrationBuilder.AddColumn<long>(
                name: "Tablet",
                table: "Sessions",
                type: "bigint",
                nullable: true);

            migrationBuilder.CreateTable(
                name: "BadgeEnds",
                columns: table => new
                {
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    BadgeId = table.Column<long>(type: "bigint", nullable: false),
                    Reason = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    By = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    AtUs = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_BadgeEnds", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "Badges",
                columns: table => new
                {
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    Person = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    SecretHash = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    By = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    AtUs = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Badges", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "Pins",
                columns: table => new
                {
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    Person = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    PinHash = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    AtUs = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Pins", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "PinTries",
                columns: table => new
                {
                    Person = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Failures = table.Column<int>(type: "integer", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_PinTries", x => x.Person);
                });

            migrationBuilder.CreateTable(
                name: "TabletEnds",
                columns: table => new
                {
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    TabletId = table.Column<long>(type: "bigint", nullable: false),
                    Reason = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    By = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    AtUs = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_TabletEnds", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "Tablets",
                columns: table => new
                {
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    Name = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    SecretHash = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    By = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    AtUs = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Tablets", x => x.Id);
                });

            migrationBuilder.CreateIndex(
                name: "IX_BadgeEnds_BadgeId",
                table: "BadgeEnds",
                column: "BadgeId",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_Badges_Person",
                table: "Badges",
                column: "Person");

            migrationBuilder.CreateIndex(
                name: "IX_Badges_SecretHash",
                table: "Badges",
                column: "SecretHash",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_Pins_Person",
                table: "Pins",
                column: "Person");

            migrationBuilder.CreateIndex(
                name: "IX_TabletEnds_TabletId",
                table: "TabletEnds",
                column: "TabletId",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_Tablets_SecretHash",
                table: "Tablets",
                column: "SecretHash",
                unique: true);
        }

        /// <inheritdoc />
        protected override void Down(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropTable(
                name: "BadgeEnds");

            migrationBuilder.DropTable(
                name: "Badges");

            migrationBuilder.DropTable(
                name: "Pins");

            migrationBuilder.DropTable(
                name: "PinTries");

            migrationBuilder.DropTable(
                name: "TabletEnds");

            migrationBuilder.DropTable(
                name: "Tablets");

            migrationBuilder.DropColumn(
                name: "Begun",
                table: "Sessions");

            migrationBuilder.DropColumn(
                name: "Tablet",
                table: "Sessions");
        }
    }
}
