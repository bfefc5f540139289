using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace BuildTrack.Records.Migrations.Sqlite
{
    /// <inheritdoc />
    public partial class Disclosure : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.AddColumn<string>(
                name: "CopyHash",
                table: "Certificates",
                type: "TEXT",
                nullable: true);

            migrationBuilder.CreateTable(
                name: "Disclosures",
                columns: table => new
                {
                    Id = table.Column<long>(type: "INTEGER", nullable: false),
                    Serial = table.Column<string>(type: "TEXT", nullable: false),
                    Revision = table.Column<int>(type: "INTEGER", nullable: false),
                    List = table.Column<string>(type: "TEXT", nullable: false),
                    AgreedWith = table.Column<string>(type: "TEXT", nullable: false),
                    Reason = table.Column<string>(type: "TEXT", nullable: true),
                    ApprovedBy = table.Column<string>(type: "TEXT", nullable: true),
                    Person = table.Column<string>(type: "TEXT", nullable: false),
                    AtUs = table.Column<long>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Disclosures", x => x.Id);
                });

            migrationBuilder.CreateIndex(
                name: "IX_Disclosures_Serial_Revision",
                table: "Disclosures",
                columns: new[] { "Serial", "Revision" },
                unique: true);
        }

        /// <inheritdoc />
        protected override void Down(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropTable(
                name: "Disclosures");

            migrationBuilder.DropColumn(
                name: "CopyHash",
                table: "Certificates");
        }
    }
}
