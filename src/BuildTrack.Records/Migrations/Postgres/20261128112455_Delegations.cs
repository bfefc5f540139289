using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace BuildTrack.Records.Migrations.Postgres
{
    /// <inheritdoc />
    public partial class Delegations : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.AddColumn<int>(
                name: "Delegation",
                table: "HoldDecisions",
                type: "integer",
                nullable: true);

            migrationBuilder.AddColumn<string>(
                name: "ForPerson",
                table: "HoldDecisions",
                type: "text",
                nullable: true,
                collation: "C");

            migrationBuilder.CreateTable(
                name: "DelegationEnds",
                columns: table => new
                {
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    No = table.Column<int>(type: "integer", nullable: false),
                    Day = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Reason = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    By = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    AtUs = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_DelegationEnds", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "Delegations",
                columns: table => new
                {
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    No = table.Column<int>(type: "integer", nullable: false),
                    By = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    ToPerson = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Role = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    Holds = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    FromDay = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    UntilDay = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Reason = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    AtUs = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Delegations", x => x.Id);
                });

            migrationBuilder.CreateIndex(
                name: "IX_DelegationEnds_No",
                table: "DelegationEnds",
                column: "No",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_Delegations_No",
                table: "Delegations",
                column: "No",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_Delegations_ToPerson",
                table: "Delegations",
                column: "ToPerson");
        }

        /// <inheritdoc />
        protected override void Down(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropTable(
                name: "DelegationEnds");

            migrationBuilder.DropTable(
                name: "Delegations");

            migrationBuilder.DropColumn(
                name: "Delegation",
                table: "HoldDecisions");

            migrationBuilder.DropColumn(
                name: "ForPerson",
                table: "HoldDecisions");
        }
    }
}
