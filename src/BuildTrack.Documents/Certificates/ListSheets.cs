using BuildTrack.Documents.Certificates.Sheets;
using BuildTrack.Domain.Certificates;
using BuildTrack.Domain.Evaluating;

namespace BuildTrack.Documents.Certificates;

/// <summary>All yes/no lists of a certificate together: the question as it was put, the answer that counts, and who gave it.</summary>
internal static class ListSheets
{
    public static bool IsList(CertifiedResult result) => result.Evaluation.Input.Characteristic.Evaluator == AnswersEvaluator.Name;

    public static void Set(SheetFlow flow, Words words)
    {
        var lists = words.Record.Results.Where(IsList).ToArray();
        if (lists.Length == 0)
        {
            return;
        }

        flow.NewPage("Yes/no lists");
        flow.Heading("Yes/no lists, signed by who answered them", 2);
        flow.Text("A list is accepted when no question is answered no. Where a hold point has a list and no measured check, the list is all the evidence it has.", after: 6);
        foreach (var result in lists)
        {
            var questions = result.Evaluation.Input.Sources.Values.Select(s => s.Readings).OfType<SurveySource>().ToArray();
            flow.TableCaption($"{result.Line}  {result.Title}: {Words.Result(result.Evaluation.Result)}", 40);
            var table = new SheetTable([new TableColumn("Question"), new TableColumn("Answer", Fixed: true), new TableColumn("Answered by"), new TableColumn("On", Fixed: true)]);
            foreach (var question in questions)
            {
                var run = question.CountedPasses.LastOrDefault();
                table.Row(
                    question.Feature is { } feature ? $"{feature}: {question.Question}" : question.Question ?? question.Column,
                    result.Withheld == true ? CustomersCopy.NotDisclosed : AnswersEvaluator.AnswerOf(question) ?? "–", run is null ? "–" : words.Name(run.Person), words.Time(run?.Finished));
            }

            table.SetInto(flow);
        }
    }
}
