using System.Globalization;
using BuildTrack.Domain.AsBuilt;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Codes;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.AsBuilt;
using BuildTrack.Records.Instruments;
using BuildTrack.Records.Machines;
using BuildTrack.Web.Pages;
using BuildTrack.Web.Pages.Instruments;
using BuildTrack.Web.Sheets;

namespace BuildTrack.Web.Scanning;

/// <summary>What a scanned or typed text names.</summary>
/// <param name="Kind">Null for a plain number that is no code of ours, or one that was not read.</param>
/// <param name="Says">"instrument TRK-01"; what was read, where nothing is known of it.</param>
/// <param name="Sheet">Where it leads; null for nowhere.</param>
/// <param name="Serial">The machine it belongs to; null for none.</param>
/// <param name="Why">Why it leads nowhere, or what else the person should know.</param>
public sealed record Scanned(CodeKind? Kind, string Says, string? Sheet, string? Serial = null, string? Why = null);

/// <summary>Finds what a code on paper, or a plain number typed by a scanner, names.</summary>
public sealed class CodeFinder(MachineReader machines, ComponentReader components, InstrumentReader register, Finder finder)
{
    private const int Longest = 100;

    /// <param name="person">Whose open run a station leads to.</param>
    public async Task<Scanned> Find(string? text, string person, CancellationToken ct)
    {
        var typed = text?.Trim() ?? "";
        if (PaperCode.Read(typed) is { } code)
        {
            try
            {
                return await Named(code, person, ct);
            }
            catch (NotFoundException)
            {
                return new(code.Kind, code.Says, null, Why: "This plant has no record of it. Was it printed somewhere else?");
            }
        }

        return PaperCode.Begins(typed) ? new(null, "a code that was not read whole", null, Why: "A character was lost or changed on the way. Scan it again, or type the number that is printed beside it.") : await Plain(typed, ct);
    }

    /// <summary>The maker's serial number of a component whose code was scanned; a text that is no code is the number itself.</summary>
    /// <exception cref="BadInputException">It is the code of something else, or was not read whole.</exception>
    public async Task<string> ComponentNumber(string? text, string where, CancellationToken ct)
    {
        if (!PaperCode.Begins(text))
        {
            return text ?? "";
        }

        var code = PaperCode.Read(text) ?? throw new BadInputException(where, "a code that was not read whole", "the code of a component; scan it again");
        return code.Kind != CodeKind.Component ? throw new BadInputException(where, $"the code of {code.Says}", "a component is asked here: its label, or the maker's serial number")
            : (await Entry(code, ct))?.Serial ?? throw new BadInputException(where, code.Says, "a component that this plant has listed");
    }

    private Task<Scanned> Named(PaperCode code, string person, CancellationToken ct) => code.Kind switch
    {
        CodeKind.Machine => OfMachine(code, "", ct),
        CodeKind.Step => OfStep(code, ct),
        CodeKind.Station => OfStation(code, person, ct),
        CodeKind.Instrument => OfInstrument(code, ct),
        CodeKind.Component => OfComponent(code, ct),
        _ => Task.FromResult(new Scanned(code.Kind, code.Says, null, Why: "A badge changes the person on an enrolled tablet: choose Next person, and scan it there.")),
    };

    private async Task<Scanned> OfMachine(PaperCode code, string sheet, CancellationToken ct)
    {
        var machine = await machines.Load(code.Name, ct);
        return new(code.Kind, code.Says, SheetSets.UrlOf(machine.Serial) + sheet, machine.Serial);
    }

    private async Task<Scanned> OfStep(PaperCode code, CancellationToken ct)
    {
        var machine = await machines.Load(code.Name, ct);
        var root = SheetSets.UrlOf(machine.Serial);
        return machine.Revision.Steps.FirstOrDefault(s => s.Number.ToString(CultureInfo.InvariantCulture) == code.Part) is not { } step
            ? new(code.Kind, code.Says, $"{root}/route", machine.Serial, $"The route of {machine.Serial} has no step {code.Part}.")
            : new(code.Kind, $"step {step.Number} {step.Name} of {machine.Serial}",
                machine.Revision.Surveys.Any(s => s.Step == step.Number) ? $"{root}/step/{step.Number}" : $"{root}/route?step={step.Number}#step", machine.Serial);
    }

    private async Task<Scanned> OfStation(PaperCode code, string person, CancellationToken ct)
    {
        var machine = await machines.Load(code.Name, ct);
        bool Has(Survey survey, string? feature) => machine.Revision.StationsOf(survey, machine.Model, feature).Any(s => s.Id == code.Part && PaperCode.AtOf(s) == code.At);
        var surveys = machine.Revision.Surveys.Where(s => Has(s, null)).OrderBy(s => s.Step == machine.Route.Current?.Step.Number ? 0 : 1).ThenBy(s => s.Step).ToArray();
        var open = machine.Measurements.Where(m => surveys.Any(s => s.Id == m.Survey))
            .SelectMany(m => m.Runs.Select(r => new RunView(machine, machine.Revision.Survey(m.Survey), m, r)))
            .Where(v => v.IsOpenTo(person) && Has(v.Survey, v.Measurement.Feature)).ToArray();
        if (open is [var run])
        {
            var sheet = RunView.SheetUrlOf(machine.Serial, run.Run.Id);
            var entry = new StationView(run, null).Entries.FirstOrDefault(e => e.Place == code.Part || e.Place.StartsWith(code.Part + "→", StringComparison.Ordinal));
            return entry is null || entry.FilledIn(run.Run)
                ? new(code.Kind, code.Says, sheet, machine.Serial, entry is null ? null : $"{entry.Place} is measured in this run already.")
                : new(code.Kind, code.Says, $"{sheet}?at={Uri.EscapeDataString(entry.Place)}", machine.Serial);
        }

        return surveys is [var first, ..]
            ? new(code.Kind, code.Says, $"{SheetSets.UrlOf(machine.Serial)}/step/{first.Step}?survey={Uri.EscapeDataString(first.Id)}", machine.Serial,
                open.Length > 1 ? "More than one of your runs is open there: choose one." : null)
            : new(code.Kind, code.Says, $"{SheetSets.UrlOf(machine.Serial)}/route", machine.Serial, $"The inspection and test plan of {machine.Serial} has no such station.");
    }

    private async Task<Scanned> OfInstrument(PaperCode code, CancellationToken ct)
    {
        var entry = (await register.History(code.Name, ct)).Entry;
        return new(code.Kind, $"instrument {entry.Id} {entry.Name}", InstrumentModel.UrlOf(entry.Id));
    }

    private async Task<Scanned> OfComponent(PaperCode code, CancellationToken ct)
    {
        var listed = await Entry(code, ct) ?? throw new NotFoundException(code.Says);
        var (now, removed, _) = (await components.WithSerial(listed.Serial, ct)).First(w => w.Component.Kind == listed.Kind);
        return new(
            code.Kind, $"{now.Kind} {now.Serial}, {(removed is null ? "fitted on" : "taken out of")} {now.Machine} at {now.Place}",
            $"{SheetSets.UrlOf(now.Machine)}/as-built?place={Uri.EscapeDataString(now.Place)}", now.Machine);
    }

    private async Task<FittedComponent?> Entry(PaperCode code, CancellationToken ct) =>
        long.TryParse(code.Part, NumberStyles.None, CultureInfo.InvariantCulture, out var id) ? await components.Entry(code.Name, id, ct) : null;

    /// <summary>A number without a prefix: the one thing that is called so, or the list of what carries it.</summary>
    private async Task<Scanned> Plain(string typed, CancellationToken ct)
    {
        foreach (var reading in KeyboardLayouts.Of(typed).Prepend(typed).Distinct().Where(t => t.Length is >= 2 and <= Longest))
        {
            var found = await finder.Find(reading, ct);
            var exact = found.Where(f => f.Id.Equals(reading, StringComparison.OrdinalIgnoreCase)).ToArray();
            if ((exact.Length > 0 ? exact : found.ToArray()) is [var only])
            {
                return new(null, $"{only.Kind.ToString().ToLowerInvariant()} {only.Id}", FindModel.UrlOf(only), only.Serial);
            }

            if (!found.IsEmpty)
            {
                return new(null, $"'{reading}'", $"/find?text={Uri.EscapeDataString(reading)}");
            }
        }

        return new(null, typed.Length == 0 ? "nothing" : $"'{(typed.Length > Longest ? typed[..Longest] + "…" : typed)}'", null, Why: "Nothing in this plant carries it. It is no code of a machine, step, station, instrument or component either.");
    }
}
