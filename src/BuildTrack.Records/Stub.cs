using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Rules;
namespace BuildTrack.Records.Checklists {
public sealed record ChecklistFault(string File, int Line, int Column, string Found, string Expected);
public sealed record ChecklistLoadResult(ChecklistRevision? Revision, ImmutableArray<ChecklistFault> Faults);
public static class ChecklistLoader { public static ChecklistLoadResult Load(IReadOnlyDictionary<string,string> files, IReadOnlySet<string>? furtherEvaluators = null) => throw new NotImplementedException(); public static IReadOnlyDictionary<string,string> ReadFolder(string folder) => throw new NotImplementedException(); }
}
namespace BuildTrack.Records.Surveys {
public sealed record SurveyFileResult(string Dialect, ImmutableArray<PreviewRow> Rows, ImmutableArray<InputFault> Faults);
public static class SurveyFileReader { public static SurveyFileResult Read(string fileName, ReadOnlyMemory<byte> bytes, Survey survey, ImmutableArray<Station> stations, IReadOnlySet<string> expectedStations, string instrumentUnit) => throw new NotImplementedException(); }
public static class NumberText { public static bool TryUnderstand(string typed, string unit, out long? nanometres, out double? number, out string? fault) => throw new NotImplementedException(); }
}
