using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace BuildTrack.Records.Migrations.Postgres
{
    /// <inheritdoc />
    public partial class Witnesses : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.CreateTable(
                name: "Witnesses",
                columns: table => new
                {
                    Id = table.Column<long>(type: "bigint", nullable: false),
                    Serial = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Hold = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Act = table.Column<int>(type: "integer", nullable: false),
                    Witness = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Organisation = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    Visit = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    Notice = table.Column<int>(type: "integer", nullable: true),
                    Letter = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    Remark = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    Statement = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    FileHash = table.Column<string>(type: "text", nullable: true, collation: "C"),
                    Person = table.Column<string>(type: "text", nullable: false, collation: "C"),
                    AtUs = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Witnesses", x => x.Id);
                });

            migrationBuilder.CreateIndex(
                name: "IX_Witnesses_Serial",
                table: "Witnesses",
                column: "Serial");
        }

        /// <inheritdoc />
        protected override void Down(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropTable(
                name: "Witnesses");
        }
    }
}
