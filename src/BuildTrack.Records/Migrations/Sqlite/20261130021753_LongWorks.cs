using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace BuildTrack.Records.Migrations.Sqlite
{
    /// <inheritdoc />
    public partial class LongWorks : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.CreateTable(
                name: "LongWorks",
                columns: table => new
                {
                    Work = table.Column<string>(type: "TEXT", nullable: false),
                    Kind = table.Column<string>(type: "TEXT", nullable: false),
                    Person = table.Column<string>(type: "TEXT", nullable: false),
                    AskedUs = table.Column<long>(type: "INTEGER", nullable: false),
                    Hand = table.Column<string>(type: "TEXT", nullable: true),
                    BeatUs = table.Column<long>(type: "INTEGER", nullable: true),
                    Begun = table.Column<int>(type: "INTEGER", nullable: false),
                    NextUs = table.Column<long>(type: "INTEGER", nullable: false),
                    Fault = table.Column<string>(type: "TEXT", nullable: true),
                    Stage = table.Column<int>(type: "INTEGER", nullable: false),
                    Stages = table.Column<int>(type: "INTEGER", nullable: false),
                    What = table.Column<string>(type: "TEXT", nullable: true),
                    Done = table.Column<long>(type: "INTEGER", nullable: false),
                    Total = table.Column<long>(type: "INTEGER", nullable: false),
                    EndedUs = table.Column<long>(type: "INTEGER", nullable: true),
                    CancelledBy = table.Column<string>(type: "TEXT", nullable: true),
                    Outcome = table.Column<string>(type: "TEXT", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_LongWorks", x => x.Work);
                });

            migrationBuilder.CreateIndex(
                name: "IX_LongWorks_Kind",
                table: "LongWorks",
                column: "Kind",
                unique: true,
                filter: "\"EndedUs\" IS NULL");
        }

        /// <inheritdoc />
        protected override void Down(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropTable(
                name: "LongWorks");
        }
    }
}
