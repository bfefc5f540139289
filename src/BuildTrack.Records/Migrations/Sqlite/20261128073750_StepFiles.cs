using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace BuildTrack.Records.Migrations.Sqlite
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
                    Id = table.Column<long>(type: "INTEGER", nullable: false),
                    FileId = table.Column<long>(type: "INTEGER", nullable: false),
                    Serial = table.Column<string>(type: "TEXT", nullable: false),
                    Person = table.Column<string>(type: "TEXT", nullable: false),
                    AtUs = table.Column<long>(type: "INTEGER", nullable: false),
                    Reason = table.Column<string>(type: "TEXT", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_FilesSetAside", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "StepFiles",
                columns: table => new
                {
                    Id = table.Column<long>(type: "INTEGER", nullable: false),
                    Serial = table.Column<string>(type: "TEXT", nullable: false),
                    Step = table.Column<int>(type: "INTEGER", nullable: false),
                    Subject = table.Column<string>(type: "TEXT", nullable: true),
                    Shows = table.Column<string>(type: "TEXT", nullable: false),
                    Name = table.Column<string>(type: "TEXT", nullable: false),
                    MediaType = table.Column<string>(type: "TEXT", nullable: false),
                    Size = table.Column<long>(type: "INTEGER", nullable: false),
                    Hash = table.Column<string>(type: "TEXT", nullable: false),
                    Person = table.Column<string>(type: "TEXT", nullable: false),
                    AtUs = table.Column<long>(type: "INTEGER", nullable: false)
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
