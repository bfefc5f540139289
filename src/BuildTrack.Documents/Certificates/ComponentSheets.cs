using BuildTrack.Documents.Certificates.Sheets;

namespace BuildTrack.Documents.Certificates;

/// <summary>The as-built list: what the machine carries, with the maker's serial numbers, and what was swapped on the way.</summary>
internal static class ComponentSheets
{
    public static void Set(SheetFlow flow, Words words)
    {
        if (words.Record.Components is not { IsEmpty: false } components)
        {
            return;
        }

        flow.NewPage("As-built list");
        flow.Heading("As-built list", 2);
        flow.Text("Serial numbers as scanned from the plates when the components were fitted. A swap keeps both.", after: 6);
        foreach (var assembly in components.GroupBy(c => c.Assembly))
        {
            flow.TableCaption(assembly.Key, 40);
            var table = new SheetTable(
            [
                new TableColumn("Place"), new TableColumn("Serial number"), new TableColumn("Firmware"), new TableColumn("Certificate"), new TableColumn("Joints", Fixed: true), new TableColumn("Fitted by"), new TableColumn("On"),
            ]);
            foreach (var component in assembly)
            {
                table.Row(
                    component.Name, component.Serial, component.Firmware ?? "–", component.Certificate ?? "–", component.Joints ?? "–", words.Name(component.FittedBy), component.Local);
            }

            table.SetInto(flow);
        }

        var swaps = components.SelectMany(c => (c.Replaced ?? []).Select(s => (Component: c, Swap: s))).ToArray();
        if (swaps.Length == 0)
        {
            return;
        }

        flow.TableCaption("Taken out again", 40);
        var taken = new SheetTable([new TableColumn("Place"), new TableColumn("Serial number"), new TableColumn("Because"), new TableColumn("Swapped by"), new TableColumn("On")]);
        foreach (var (component, swap) in swaps)
        {
            taken.Row(component.Name, swap.Serial, swap.Reason, words.Name(swap.SwappedBy), swap.Local);
        }

        taken.SetInto(flow);
    }
}
