using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace BuildTrack.Records.Migrations.Sqlite
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
                type: "INTEGER",
                nullable: true);

            migrationBuilder.AddColumn<string>(
                name: "ForPerson",
                table: "HoldDecisions",
                type: "TEXT",
                nullable: true);

            migrationBuilder.CreateTable(
                name: "DelegationEnds",
                columns: table => new
                {
                    Id = table.Column<long>(type: "INTEGER", nullable: false),
                    No = table.Column<int>(type: "INTEGER", nullable: false),
                    Day = table.Column<string>(type: "TEXT", nullable: false),
                    Reason = table.Column<string>(type: "TEXT", nullable: false),
                    By = table.Column<string>(type: "TEXT", nullable: false),
                    AtUs = table.Column<long>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_DelegationEnds", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "Delegations",
                columns: table => new
                {
                    Id = table.Column<long>(type: "INTEGER", nullable: false),
                    No = table.Column<int>(type: "INTEGER", nullable: false),
                    By = table.Column<string>(type: "TEXT", nullable: false),
                    ToPerson = table.Column<string>(type: "TEXT", nullable: false),
                    Role = table.Column<string>(type: "TEXT", nullable: true),
                    Holds = table.Column<string>(type: "TEXT", nullable: false),
                    FromDay = table.Column<string>(type: "TEXT", nullable: false),
                    UntilDay = table.Column<string>(type: "TEXT", nullable: false),
                    Reason = table.Column<string>(type: "TEXT", nullable: false),
                    AtUs = table.Column<long>(type: "INTEGER", nullable: false)
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
