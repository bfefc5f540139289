using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Rules;
namespace BuildTrack.Records.Surveys {
public sealed record SurveyFileResult(string Dialect, ImmutableArray<PreviewRow> Rows, ImmutableArray<InputFault> Faults);
public static class SurveyFileReader { public static SurveyFileResult Read(string fileName, ReadOnlyMemory<byte> bytes, Survey survey, ImmutableArray<Station> stations, IReadOnlySet<string> expectedStations, string instrumentUnit) => throw new NotImplementedException(); }
public static class NumberText { public static bool TryUnderstand(string typed, string unit, out long? nanometres, out double? number, out string? fault) => throw new NotImplementedException(); }
}
