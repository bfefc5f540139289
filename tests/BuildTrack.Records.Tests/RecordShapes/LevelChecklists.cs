namespace BuildTrack.Records.Tests.RecordShapes;

/// <summary>One level run that feeds four results; added to the test checklists.</summary>
internal static class LevelChecklists
{
    private const string Surveys = """
        surveys:
          - id: pad-level
            step: 100
            title: Level over the pads
            layout: two-rails
            places: between
            columns: [{id: slope, title: Slope, quantity: slope, unit: µm/m}]
            instruments: [slope]
            base-length: 500

        """;

    private const string Characteristics = """
        characteristics:
          - {id: level-flatness, line: 100-21, hold: S1, title: Flatness by level, evaluator: level-network, from: {slopes: pad-level.slope}, limit: level-flatness}
          - {id: level-local, line: 100-22, hold: S1, title: Local flatness, evaluator: local-flatness, from: {slopes: pad-level.slope}, limit: level-local}
          - {id: level-cross, line: 100-23, hold: S1, title: Cross-level, evaluator: cross-level, from: {slopes: pad-level.slope, gauge: {figure: gauge}}, limit: level-cross}
          - {id: level-twist, line: 100-24, hold: S1, title: Twist, evaluator: twist, from: {slopes: pad-level.slope, gauge: {figure: gauge}}, limit: level-twist}

        """;

    private const string Limits = """
          level-flatness: {upper: 50 µm, rule: guarded, origin: company standard, edition: C}
          level-local: {upper: 20 µm, rule: guarded, origin: company standard, edition: C}
          level-cross: {upper: 30 µm/m, rule: guarded, origin: company standard, edition: C}
          level-twist: {upper: 40 µm/m, rule: guarded, origin: company standard, edition: C}

        """;

    public static SortedDictionary<string, string> AddTo(SortedDictionary<string, string> files)
    {
        files["surveys/level.yaml"] = Surveys;
        files["characteristics/level.yaml"] = Characteristics;
        files["limits/class-d.yaml"] = files["limits/class-d.yaml"].TrimEnd() + "\n" + string.Join('\n', Limits.Split('\n').Select(l => l.Length > 0 ? "  " + l.Trim() : l));
        return files;
    }
}
