using System.Globalization;

namespace BuildTrack.Web.Tests.Building;

/// <summary>One run of a survey, ready to be typed.</summary>
internal sealed record TypedRun(string Survey, int Step, string? Feature, string? Direction, string[] Instruments, (string Place, string Column, string Typed)[] Readings);

/// <summary>A whole set of readings of a class-B machine with 3 kW, seat 4000 mm: smooth small values well inside the limits, with a little noise from a fixed seed.</summary>
internal static class SmoothReadings
{
    private const int Stations = 17;
    private static readonly string[] Rails = ["R1", "R2"];

    public static IReadOnlyList<TypedRun> Of(int seed)
    {
        var random = new Random(seed);
        string Typed(double value, int decimals) => value.ToString("F" + decimals.ToString(CultureInfo.InvariantCulture), CultureInfo.InvariantCulture);
        double Noise(double size) => size * ((2 * random.NextDouble()) - 1);
        double Wave(int i) => Math.Sin(i * 0.7);
        var runs = new List<TypedRun>();

        void One(string survey, int step, string instrument, IEnumerable<string> places, string column, Func<int, double> value, double noise, int decimals, string? feature = null, string? direction = null) =>
            runs.Add(new TypedRun(survey, step, feature, direction, [instrument], [.. places.Select((p, i) => (p, column, Typed(value(i) + Noise(noise), decimals)))]));
        void Both(string survey, int step, string instrument, IEnumerable<string> places, string column, Func<int, double> value, double noise, int decimals, string? feature = null)
        {
            foreach (var direction in new[] { "outward", "back" })
            {
                One(survey, step, instrument, places, column, value, noise, decimals, feature, direction);
            }
        }

        void Whole(string survey, int step, string[] instruments, string? feature, params (string Column, string Typed)[] values) =>
            runs.Add(new TypedRun(survey, step, feature, null, instruments, [.. values.Select(v => ("whole", v.Column, v.Typed))]));

        Whole("frame-size", 50, ["TAP-01"], null, ("d1", "4500.4"), ("d2", "4500.1"), ("long", "0.8"), ("wide", "-0.4"));
        One("frame-pads", 50, "TRK-01", Pads(5), "z", i => 12 + (0.3 * Wave(i)), 0.1, 2);
        One("unclamping", 90, "IND-11", Pads(5), "lift", i => 0.007 + (0.002 * Wave(i)), 0.001, 3);
        One("milled-depth", 90, "IND-11", Pads(5), "depth", i => 0.6 + (0.05 * Wave(i)), 0.02, 2);
        One("pad-thickness", 100, "UTG-01", Pads(Stations), "t", i => 18 + (0.2 * Wave(i)), 0.05, 2);
        foreach (var (name, step) in new[] { ("bed", 100), ("coated", 120) })
        {
            One($"{name}-heights", step, "TRK-01", Pads(Stations), "z", i => 0.002 * Wave(i), 0.0005, 4);
            AlongAndAcross(name, step);
        }

        One("film", 110, "CTG-01", Names("P", 5, "0"), "t1", i => 88 + Wave(i), 2, 0);
        runs[^1] = runs[^1] with { Readings = [.. runs[^1].Readings, .. new[] { "t2", "t3" }.SelectMany(c => Names("P", 5, "0").Select(p => (p, c, Typed(90 + Noise(3), 0))))] };
        Whole("oven", 110, ["THM-01"], null, ("metal", "190.5"), ("held", "14"));
        foreach (var rail in new[] { "upper", "lower" })
        {
            Both("beam-along", 140, "LVL-02", Names("Y-", 7).Zip(Names("Y-", 7).Skip(1), (from, to) => $"{from}→{to}"), "slope", i => 3 * Wave(i), 0.4, 1, rail);
        }

        Both("beam-across", 140, "LVL-02", Names("Y-", 7), "slope", i => 2 * Wave(i), 0.4, 1);
        Whole("z-square", 140, ["IND-11"], null, ("x", "0.004"), ("y", "-0.006"));
        Whole("z-travel", 140, ["TAP-01"], null, ("travel", "305.5"));
        AlongAndAcross("rail", 160);
        string[] joints = [.. Rails.SelectMany(r => Names($"{r}-K", 3, "0"))];
        runs.Add(new TypedRun("rack-joints", 160, null, null, ["IND-11"],
            [.. joints.SelectMany(j => new[] { "b3", "b2", "b1", "joint", "a1", "a2", "a3" }.Select(c => (j, c, Typed((c == "joint" ? -0.006 : 0) + Noise(0.001), 3))))]));
        One("rack-height", 160, "IND-11", Pads(9), "h", i => 0.005 * Wave(i), 0.001, 3);
        Both("gauge", 160, "IND-11", Names("B-", Stations), "gauge", i => 0.003 * Wave(i), 0.0005, 3);
        for (var pass = 0; pass < 3; pass++)
        {
            One("joint-steps", 160, "IND-12", ["R1-J1", "R1-J2", "R2-J1", "R2-J2"], "step", _ => 0.8, 0.3, 1);
        }

        for (var pass = 0; pass < 3; pass++)
        {
            One("backlash", 170, "IND-11", Names("N", 6, "0"), "lost", _ => 0.011, 0.001, 3);
        }

        foreach (var stand in new[] { "operator-end", "middle", "far-end" })
        {
            One("loaded-along", 175, "LVL-02", Rails.SelectMany(r => Steps(r, 9)), "slope", i => 3 * Wave(i), 0.4, 1, stand);
            One("loaded-across", 175, "LVL-02", Names("B-", 9), "slope", i => 2 * Wave(i), 0.4, 1, stand);
        }

        Whole("diagonals", 175, ["DST-01"], null, ("d1", "3354.1120"), ("d2", "3354.0916"), ("x1", "2999.9998"), ("y1", "1500.0002"), ("x2", "3000.0004"), ("y2", "1500.0001"));
        Whole("square-reversal", 175, ["IND-11"], null, ("first", "0.005"), ("second", "0.003"), ("blade", "500"));
        foreach (var (line, bar, after) in new[] { ("nitrogen", "20.00", "19.91"), ("oxygen", "10.00", "9.95"), ("air", "8.00", "7.96") })
        {
            Whole("leak-test", 180, ["PRG-01", "THM-02"], line, ("before", bar), ("t-before", "21.3"), ("after", after), ("t-after", "20.3"));
        }

        One("bonding", 200, "BND-01", Names("E", 20), "ohm", _ => 0.03, 0.01, 3);
        runs[^1] = runs[^1] with { Readings = [.. runs[^1].Readings.SelectMany(r => new[] { r, (r.Place, "length", "4.0"), (r.Place, "section", "6") })] };
        Whole("insulation", 200, ["INS-01"], null, ("mains", "210"), ("drives", "150"), ("source", "320"));
        Whole("live-electrical", 200, ["VLT-01"], null, ("l1-l2", "401"), ("l2-l3", "399"), ("l3-l1", "402"), ("residual-terminals", "7"), ("residual-drives", "28"));
        for (var pass = 0; pass < 5; pass++)
        {
            Axis("x-window", 11);
            Axis("y-window", 8, "Y-");
        }

        foreach (var (path, ellipse) in new[] { ("circle-slow", 2.0), ("circle-fast", 5.0) })
        {
            string[] angles = [.. Enumerable.Range(0, 72).Select(i => "A" + (5 * i).ToString("000", CultureInfo.InvariantCulture))];
            runs.Add(new TypedRun(path, 210, null, null, ["CIR-01"],
                [.. angles.SelectMany((a, i) => new[] { ("clockwise", 1.0), ("counter", -1.0) }.Select(w => (a, w.Item1, Typed((ellipse * Math.Sin(i * 10 * Math.PI / 180)) + w.Item2 + Noise(0.3), 1))))]));
        }

        Axis("x-travel", 13);
        Whole("stopping", 210, [], null, [.. Enumerable.Range(1, 10).Select(i => ($"s{i}", Typed(0.28 + Noise(0.01), 3)))]);
        Whole("coolant", 220, ["THM-02", "HYG-01"], null, ("air", "21.5"), ("humidity", "48"), ("coolant", "24.0"));
        Whole("coolant-flow", 220, ["TFM-01"], null, ("source", "18.2"), ("head", "2.0"));
        Whole("head", 220, ["MIC-01"], null, ("shot-1", "0.010"), ("shot-2", "0.015"), ("shot-3", "0.005"), ("focus", "0.10"), ("gap-05", "0.010"), ("gap-10", "-0.005"), ("gap-15", "0.012"), ("gap-20", "-0.010"));
        double[] planes = [-8, -7, -6, -1.2, -0.8, -0.4, 0, 0.4, 0.8, 1.2, 6, 7, 8];
        runs.Add(new TypedRun("beam-caustic", 220, null, null, ["PRF-01"],
            [.. planes.SelectMany((z, i) => new[] { ("along-x", 101.0), ("along-y", 102.0) }.Select(d => ($"Z{i + 1:00}", d.Item1, Typed((d.Item2 + Noise(0.4)) * Math.Sqrt(1 + (z * z / 1.5625)), 1))))]));
        string[] functions = ["es1", "es2", "es3", "es4", "door1", "door2", "door3", "door4", "table", "source"];
        Whole("safety-functions", 220, [], null, [.. functions.SelectMany(f => new[] { $"{f}-a", $"{f}-b" }).Append("short").Append("reset").Select(q => (q, "yes"))]);
        Whole("extraction", 220, ["ANE-01"], null, ("slot-1", "0.85"), ("slot-2", "0.92"), ("slot-3", "0.88"), ("slot-4", "0.80"));
        One("radiation", 220, "RAD-01", Names("L", 20), "power", _ => 0.03, 0.02, 2);
        Whole("power", 220, ["PWR-02"], null, ("power", "3040"));
        foreach (var (sample, thickness, u, rz) in new[] { ("CS-03", "3.00", "0.06", "20"), ("CS-10", "10.00", "0.12", "29"), ("SS-06", "6.00", "0.09", "24"), ("AL-03", "3.00", "0.05", "22") })
        {
            Whole("sample-cuts", 230, ["MIC-01", "RGH-01"], sample, ("thickness", thickness), ("u", u), ("rz", rz), ("side-x", "0.03"), ("side-y", "-0.02"), ("hole-20", "0.01"), ("round-20", "0.04"), ("hole-8", "-0.03"), ("round-8", "0.06"), ("slot", "0.02"), ("kerf-x", "0.24"), ("kerf-y", "0.25"), ("burr-free", "yes"));
        }

        foreach (var (sample, nozzle, bar, minutes) in new[] { ("SS-06", "2.0", "14", "6"), ("AL-03", "1.5", "12", "4"), ("thickest", "2.0", "14", "6") })
        {
            Whole("gas-cuts", 230, [], sample, ("nozzle", nozzle), ("pressure", bar), ("minutes", minutes));
        }

        Whole("noise", 230, ["SND-01"], null, ("level", "74.2"));
        Whole("gas-plant", 230, [], null, ("stock", "500"), ("vaporiser", "60"));
        runs.Add(new TypedRun("recheck", 240, null, null, ["IFM-01"], [.. Names("T", 3, "0").SelectMany(t => new[] { (t, "cold", Typed(Noise(2), 1)), (t, "hot", Typed(5 + Noise(2), 1)) })]));
        One("power-log", 240, "PWR-02", Enumerable.Range(30, 241).Select(t => "M" + t.ToString("000", CultureInfo.InvariantCulture)), "power", i => 3000 + (9 * Wave(i)), 5, 0);
        return runs;

        void AlongAndAcross(string name, int step)
        {
            foreach (var rail in Rails)
            {
                Both($"{name}-along", step, "LVL-02", Steps(rail), "slope", i => 3 * Wave(i), 0.4, 1, rail);
            }

            Both($"{name}-across", step, "LVL-02", Names("B-", Stations), "slope", i => 2 * Wave(i), 0.4, 1);
            Both($"{name}-side", step, "AC-01", Steps("R1"), "slope", i => 0.6 * Wave(i), 0.1, 2, "R1");
        }

        void Axis(string survey, int targets, string name = "X-")
        {
            One(survey, 210, "IFM-01", Names(name, targets), "forward", i => 2 * Wave(i), 0.3, 1);
            runs[^1] = runs[^1] with { Readings = [.. runs[^1].Readings, .. Names(name, targets).Select((p, i) => (p, "backward", Typed(1.5 + (2 * Wave(i)) + Noise(0.3), 1)))] };
        }
    }

    private static IEnumerable<string> Names(string name, int count, string format = "00") => Enumerable.Range(1, count).Select(i => name + i.ToString(format, CultureInfo.InvariantCulture));

    private static IEnumerable<string> Pads(int each) => Rails.SelectMany(r => Names(r + "-", each));

    private static IEnumerable<string> Steps(string rail, int stations = Stations) => Names(rail + "-", stations).Zip(Names(rail + "-", stations).Skip(1), (from, to) => $"{from}→{to}");
}
