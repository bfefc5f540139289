using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace BuildTrack.Records.Migrations.Sqlite
{
    /// <inheritdoc />
    public partial class FilesOfRunsAndPaper : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.AddColumn<int>(
                name: "Nonconformance",
                table: "StepFiles",
                type: "INTEGER",
                nullable: true);

            migrationBuilder.AddColumn<string>(
                name: "Place",
                table: "StepFiles",
                type: "TEXT",
                nullable: true);

            migrationBuilder.AddColumn<long>(
                name: "RunId",
                table: "StepFiles",
                type: "INTEGER",
                nullable: true);

            migrationBuilder.CreateTable(
                name: "PaperComparisons",
                columns: table => new
                {
                    Id = table.Column<long>(type: "INTEGER", nullable: false),
                    PaperId = table.Column<long>(type: "INTEGER", nullable: false),
                    Serial = table.Column<string>(type: "TEXT", nullable: false),
                    Sheet = table.Column<string>(type: "TEXT", nullable: false),
                    Differs = table.Column<string>(type: "TEXT", nullable: true),
                    Remark = table.Column<string>(type: "TEXT", nullable: true),
                    Person = table.Column<string>(type: "TEXT", nullable: false),
                    AtUs = table.Column<long>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_PaperComparisons", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "PaperProtocols",
                columns: table => new
                {
                    Id = table.Column<long>(type: "INTEGER", nullable: false),
                    Serial = table.Column<string>(type: "TEXT", nullable: false),
                    RunId = table.Column<long>(type: "INTEGER", nullable: false),
                    FileId = table.Column<long>(type: "INTEGER", nullable: false),
                    Code = table.Column<string>(type: "TEXT", nullable: false),
                    MeasuredBy = table.Column<string>(type: "TEXT", nullable: false),
                    Person = table.Column<string>(type: "TEXT", nullable: false),
                    AtUs = table.Column<long>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_PaperProtocols", x => x.Id);
                });

            migrationBuilder.CreateIndex(
                name: "IX_PaperComparisons_Serial",
                table: "PaperComparisons",
                column: "Serial");

            migrationBuilder.CreateIndex(
                name: "IX_PaperProtocols_Serial",
                table: "PaperProtocols",
                column: "Serial");
        }

        /// <inheritdoc />
        protected override void Down(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropTable(
                name: "PaperComparisons");

            migrationBuilder.DropTable(
                name: "PaperProtocols");

            migrationBuilder.DropColumn(
                name: "Nonconformance",
                table: "StepFiles");

            migrationBuilder.DropColumn(
                name: "Place",
                table: "StepFiles");

            migrationBuilder.DropColumn(
                name: "RunId",
                table: "StepFiles");
        }
    }
}
