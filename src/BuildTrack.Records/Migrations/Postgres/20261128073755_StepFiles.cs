using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace BuildTrack.Records.Migrations.Postgres
{
    /// <inheritdoc />
    public partial class StepFiles : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.CreateTable(
                name: "FilesSetAside",
                columns: table => new
                {
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    FileId = table.Column<long>(type: "bigint", nullable: false),
                    Serial = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Person = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    AtUs = table.Column<long>(type: "bigint", nullable: false),
                    Reason = table.Column<string>(type: "text", nullable: false, collation: "C")
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_FilesSetAside", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "StepFiles",
                columns: table => new
                {
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    Serial = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Step = table.Column<int>(type: "integer", nullable: false),
                    Subject = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    Shows = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Name = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    MediaType = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Size = table.Column<long>(type: "bigint", nullable: false),
                    Hash = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Person = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    AtUs = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_StepFiles", x => x.Id);
                });

            migrationBuilder.CreateIndex(
                name: "IX_FilesSetAside_FileId",
                table: "FilesSetAside",
                column: "FileId",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_FilesSetAside_Serial",
                table: "FilesSetAside",
                column: "Serial");

            migrationBuilder.CreateIndex(
                name: "IX_StepFiles_Serial",
                table: "StepFiles",
                column: "Serial");
        }

        /// <inheritdoc />
        protected override void Down(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropTable(
                name: "FilesSetAside");

            migrationBuilder.DropTable(
                name: "StepFiles");
        }
    }
}
