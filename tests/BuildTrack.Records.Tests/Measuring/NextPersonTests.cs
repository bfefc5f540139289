using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.People;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.Measuring;

/// <summary>A change of person at a shared tablet: in the session, and in a run that is open.</summary>
public sealed class NextPersonTests
{
    [Theory, OnBoth]
    public async Task The_next_persons_session_ends_the_one_before_and_a_wrong_password_changes_nothing(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var sessions = plant.Get<SessionStore>();
        var tom = (await sessions.SignIn(TestPlant.Technician.Person, TestPlant.Password, default)).Secret!;
        var wrong = await sessions.SignIn(TestPlant.OtherTechnician.Person, "a wrong password!", default, tom);
        Assert.Equal((null, "name or password is wrong"), (wrong.Secret, wrong.RefusedBecause));
        Assert.Equal(TestPlant.Technician.Person, (await sessions.Find(tom, default))!.Person);
        var tea = (await sessions.SignIn(TestPlant.OtherTechnician.Person, TestPlant.Password, default, tom)).Secret!;
        Assert.Null(await sessions.Find(tom, default));
        Assert.Equal(TestPlant.OtherTechnician.Person, (await sessions.Find(tea, default))!.Person);
    }

    [Theory, OnBoth]
    public async Task An_open_run_is_handed_over_by_beginning_the_next(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("N-1");
        var first = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("N-1"));
        await plant.Record(TestPlant.Technician, TestPlant.ToRecord("N-1", first.Run, ("P1", "z", "-4")));
        async Task<string> Refused(Caller who, long run) =>
            (await plant.LeavesNothing<RefusedException>(() => plant.Begin(who, TestPlant.ToBegin("N-1") with { HandOver = run }))).Rule.Id;
        Assert.Equal("R-RUN-04", await Refused(TestPlant.Technician, first.Run));
        Assert.Equal("R-RUN-04", await Refused(TestPlant.OtherTechnician, first.Run + 1));

        var second = await plant.Begin(TestPlant.OtherTechnician, TestPlant.ToBegin("N-1") with { HandOver = first.Run });
        await plant.Record(TestPlant.OtherTechnician, TestPlant.ToRecord("N-1", second.Run, TestPlant.Heights(TestPlant.Triangle)));
        await plant.Finish(TestPlant.OtherTechnician, "N-1", second.Run);
        var runs = (await plant.Machine("N-1")).Measurements.Single().Runs;
        Assert.Equal(("handed over to Tea Tech, who began the next run", TestPlant.Technician.Person, 1), (runs[0].Discarded!.Reason, runs[0].Person, runs[0].Readings.Length));
        Assert.True(runs[1].Counts);
        Assert.Equal("R-RUN-04", await Refused(TestPlant.Technician, first.Run));
        await plant.Sound();
    }
}
