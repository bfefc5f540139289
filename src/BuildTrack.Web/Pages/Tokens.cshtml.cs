using BuildTrack.Records.People;
using BuildTrack.Web.Sheets;

namespace BuildTrack.Web.Pages;

/// <summary>One access token for each person, shown once; a new one ends the old.</summary>
public sealed class TokensModel(PeopleActs acts) : SheetPage
{
    public string? Secret { get; private set; }

    public Task OnGet() => Show();

    public async Task OnPost()
    {
        Secret = (await acts.IssueToken(Me, Cancel)).Secret;
        await Show();
    }

    private async Task Show()
    {
        await Open();
        Name("Access tokens", "Work sheet", "90 days from issue");
    }
}
