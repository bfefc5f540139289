using System.Runtime.InteropServices.JavaScript;
using System.Runtime.Versioning;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.SitePacks;
using BuildTrack.Domain.TakenAlong;

[assembly: SupportedOSPlatform("browser")]

namespace BuildTrack.Engine;

/// <summary>The calculations of a run taken along, called from a page's worker: canonical text in, canonical text out.</summary>
public static partial class Engine
{
    private static TakenRun? taken;

    /// <summary>Nothing to do at start: the worker calls.</summary>
    public static void Main()
    {
    }

    /// <summary>Takes the run that the calls after it speak of.</summary>
    /// <param name="run">Canonical text of a <see cref="TakenRun"/>.</param>
    [JSExport]
    public static void Take(string run) => taken = CanonicalJson.Read<TakenRun>(run);

    /// <summary>Looks at a value before it is kept (<see cref="TabletWork.Meet"/>).</summary>
    [JSExport]
    public static string Meet(string kept, string typed) => CanonicalJson.Of(TabletWork.Meet(Taken, CanonicalJson.Read<KeptValue[]>(kept), CanonicalJson.Read<KeptValue>(typed)));

    /// <summary>What rests on the run, as if it were finished (<see cref="TabletWork.Calculate"/>).</summary>
    [JSExport]
    public static string Calculate(string kept) => CanonicalJson.Of(TabletWork.Calculate(Taken, CanonicalJson.Read<KeptValue[]>(kept)));

    /// <summary>Works out what a form of the site pack asks for (<see cref="SiteReckoning.Of"/>).</summary>
    /// <param name="feet">Canonical text of a <see cref="SiteFeet"/>.</param>
    /// <param name="typed">Canonical text of <see cref="TypedField"/> values.</param>
    [JSExport]
    public static string Reckon(string kind, string feet, string typed) => CanonicalJson.Of(SiteReckoning.Of(kind, CanonicalJson.Read<SiteFeet>(feet), CanonicalJson.Read<TypedField[]>(typed)));

    /// <summary>Begins a run of a survey taken along (<see cref="TabletBegin.Begin"/>).</summary>
    /// <param name="survey">Canonical text of a <see cref="TakenSurvey"/>.</param>
    /// <param name="before">Canonical text of <see cref="KeptRun"/> values.</param>
    /// <param name="typed">Canonical text of a <see cref="TypedBegin"/>.</param>
    [JSExport]
    public static string Begin(string survey, string before, string typed, string day) =>
        CanonicalJson.Of(TabletBegin.Begin(CanonicalJson.Read<TakenSurvey>(survey), CanonicalJson.Read<KeptRun[]>(before), CanonicalJson.Read<TypedBegin>(typed), day));

    private static TakenRun Taken => taken ?? throw new InvalidOperationException("No run was taken along yet.");
}
