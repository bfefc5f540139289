using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Witnessing;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.StepFiles;
using BuildTrack.Records.Witnessing;
using Microsoft.Extensions.DependencyInjection;

namespace BuildTrack.Records.Demo;

/// <summary>The customers' witnesses of the demo: invited before every witness point, and there on the day.</summary>
internal static class DemoVisits
{
    /// <summary>The planner invites the customer's person for a day.</summary>
    public static Task<ActReceipt> Invite(IServiceProvider provider, Caller planner, DemoFile demo, DemoMachine machine, string hold, string visit, CancellationToken ct) =>
        provider.GetRequiredService<WitnessActs>().Invite(planner, new InviteRequest(machine.Serial, hold, demo.Witnesses[machine.Customer], machine.Customer, visit, null), null, ct);

    /// <summary>The witness was there, and signed where the point asks for it.</summary>
    public static async Task Attend(IServiceProvider provider, Caller inspector, MachineRecord machine, HoldPoint hold, CancellationToken ct)
    {
        var acts = provider.GetRequiredService<WitnessActs>();
        if (hold.Witness is not { Statement: true })
        {
            await acts.Record(inspector, new WitnessRequest(machine.Serial, hold.Id, WitnessAct.Present, null, null, null, null, null, null), null, ct);
            return;
        }

        var scan = await provider.GetRequiredService<StepFileActs>().Attach(
            inspector, new AttachFileRequest(machine.Serial, hold.Step, null, "signed statement of the witness", $"statement-{hold.Id}.png"), DemoPicture.Png($"{machine.Serial} {hold.Id} signed"), null, ct);
        await acts.Record(inspector, new WitnessRequest(
            machine.Serial, hold.Id, machine.OpenPunch.Any() ? WitnessAct.AcceptsWithPunchList : WitnessAct.Accepts, null, null, null, WitnessStatement.Code(machine, hold), scan.Hash, null), null, ct);
    }
}
