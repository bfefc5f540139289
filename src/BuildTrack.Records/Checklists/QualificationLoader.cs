using BuildTrack.Domain.Checklists;

namespace BuildTrack.Records.Checklists;

/// <summary>Maps qualifications.yaml: the lists of people for special work.</summary>
internal static class QualificationLoader
{
    public static void Map(LoaderDraft draft, YamlFields file)
    {
        foreach (var item in file.Items("qualifications", true, "a list of qualified people", "id", "name", "why", "origin"))
        {
            var id = item.Id("id");
            draft.Qualifications.Add(id, new Qualification(id, item.Text("name"), item.Text("why"), item.Text("origin")), item);
        }
    }

    /// <summary>Lists that steps, hold points and surveys ask for are there: else nobody could ever do the work.</summary>
    public static void Check(LoaderDraft draft)
    {
        foreach (var step in draft.Steps)
        {
            draft.Qualifications.Need(step.Value.Qualified, step.Fields, "qualified");
        }

        foreach (var hold in draft.Holds)
        {
            draft.Qualifications.Need(hold.Value.Qualified, hold.Fields, "qualified");
        }

        foreach (var survey in draft.Surveys)
        {
            draft.Qualifications.Need(survey.Value.Qualified, survey.Fields, "qualified");
        }
    }
}
