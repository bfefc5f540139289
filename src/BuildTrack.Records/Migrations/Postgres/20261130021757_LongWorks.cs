using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace BuildTrack.Records.Migrations.Postgres
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
                    Work = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Kind = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Person = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    AskedUs = table.Column<long>(type: "bigint", nullable: false),
                    Hand = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    BeatUs = table.Column<long>(type: "bigint", nullable: true),
                    Begun = table.Column<int>(type: "integer", nullable: false),
                    NextUs = table.Column<long>(type: "bigint", nullable: false),
                    Fault = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    Stage = table.Column<int>(type: "integer", nullable: false),
                    Stages = table.Column<int>(type: "integer", nullable: false),
                    What = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    Done = table.Column<long>(type: "bigint", nullable: false),
                    Total = table.Column<long>(type: "bigint", nullable: false),
                    EndedUs = table.Column<long>(type: "bigint", nullable: true),
                    CancelledBy = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    Outcome = table.Column<string>(type: "text", nullable: true, collation: "C")
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
