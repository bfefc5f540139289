using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace BuildTrack.Records.Migrations.Postgres
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
                type: "integer",
                nullable: true);

            migrationBuilder.AddColumn<string>(
                name: "Place",
                table: "StepFiles",
                type: "text",
                nullable: true,
                collation: "C");

            migrationBuilder.AddColumn<long>(
                name: "RunId",
                table: "StepFiles",
                type: "bigint",
                nullable: true);

            migrationBuilder.CreateTable(
                name: "PaperComparisons",
                columns: table => new
                {
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    PaperId = table.Column<long>(type: "bigint", nullable: false),
                    Serial = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Sheet = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Differs = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    Remark = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    Person = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    AtUs = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_PaperComparisons", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "PaperProtocols",
                columns: table => new
                {
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    Serial = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    RunId = table.Column<long>(type: "bigint", nullable: false),
                    FileId = table.Column<long>(type: "bigint", nullable: false),
                    Code = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    MeasuredBy = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Person = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    AtUs = table.Column<long>(type: "bigint", nullable: false)
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
