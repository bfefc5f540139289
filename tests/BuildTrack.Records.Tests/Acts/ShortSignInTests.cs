using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Codes;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.People;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.Acts;

/// <summary>The person changed by badge or PIN: on enrolled tablets only, five attempts, no signature, and no secret in the history.</summary>
public sealed class ShortSignInTests
{
    private const string Pin = "740295";

    private static async Task<EnrolledTablet> Tablet(TestPlant plant) => await plant.Get<TabletActs>().Enrol(TestPlant.Administrator, new EnrolTabletRequest("Bay 2, north"), default);

    private static Task<ActReceipt> SetPin(TestPlant plant, Caller who, string pin = Pin) => plant.Get<TabletActs>().SetPin(who, new SetPinRequest(pin, TestPlant.Password), default);

    private static Task<SignInResult> ByPin(TestPlant plant, Caller who, string pin, string? tablet) => plant.Get<ShortSignIn>().ByPin(who.Person, pin, tablet, null, default);

    private static Task<Caller?> Find(TestPlant plant, SignInResult signedIn) => plant.Get<SessionStore>().Find(signedIn.Secret!, default);

    [Theory, OnBoth]
    public async Task By_PIN_the_next_person_takes_over_works_and_signs_nothing(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var tablet = await Tablet(plant);
        await SetPin(plant, TestPlant.Inspector);
        await plant.Order("PIN-1");
        await plant.Accepted("PIN-2");
        var before = (await plant.Get<SessionStore>().SignIn(TestPlant.Technician.Person, TestPlant.Password, default)).Secret!;
        var signedIn = await plant.Get<ShortSignIn>().ByPin(TestPlant.Inspector.Person, Pin, tablet.Secret, before, default);
        Assert.Null(await plant.Get<SessionStore>().Find(before, default));
        var ina = (await Find(plant, signedIn))!;
        Assert.True(ina.ByPin);

        await plant.Begin(ina, TestPlant.ToBegin("PIN-1"));
        var refused = await plant.LeavesNothing<RefusedException>(() => plant.Release(ina, "PIN-2"));
        Assert.Equal(PinRules.NoSignature, refused.Rule.Id);
        Assert.Equal(PinRules.NoSignature, (await plant.LeavesNothing<RefusedException>(() => SetPin(plant, ina, "482917"))).Rule.Id);

        // By password the same person releases.
        Assert.NotNull((await plant.Release(TestPlant.Inspector, "PIN-2")).Certificate);
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task Every_act_is_refused_by_PIN_but_those_of_a_technicians_work(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        foreach (var (kind, act) in await AllActs.On(plant))
        {
            var who = AllActs.Who(kind) with { ByPin = true };
            if (PinRules.WhyNot(kind) is { } rule)
            {
                Assert.Equal(rule, (await plant.LeavesNothing<RefusedException>(() => act(who, null))).Rule);
            }
            else
            {
                Assert.True(Permissions.May([Roles.Technician], kind), kind);
                Assert.False(await Record.ExceptionAsync(() => act(who, null)) is RefusedException { Rule.Id: PinRules.NoSignature }, kind);
            }
        }

        Assert.All(
            [ActKind.Release, ActKind.Return, ActKind.Approve, ActKind.IssueCertificate, ActKind.VoidCertificate, ActKind.AddPerson, ActKind.Delegate, ActKind.IssueToken, ActKind.SetPin, ActKind.EnrolTablet, ActKind.ComparePaper],
            a => Assert.False(PinRules.MayByPin(a), a));
    }

    [Theory, OnBoth]
    public async Task Five_wrong_PINs_lock_it_until_the_password_was_used(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var tablet = await Tablet(plant);
        await SetPin(plant, TestPlant.Technician);
        for (var left = PinRules.Attempts - 1; left > 0; left--)
        {
            Assert.Contains($"{left} more attempt", (await ByPin(plant, TestPlant.Technician, "111111", tablet.Secret)).RefusedBecause, StringComparison.Ordinal);
        }

        Assert.Contains("locked until", (await ByPin(plant, TestPlant.Technician, "111111", tablet.Secret)).RefusedBecause, StringComparison.Ordinal);
        Assert.Contains("locked until", (await ByPin(plant, TestPlant.Technician, Pin, tablet.Secret)).RefusedBecause, StringComparison.Ordinal);
        Assert.Equal([TestPlant.Technician.Person], (await plant.Get<TabletReader>().People(default)).Locked);

        // Another person's PIN is not locked by it, and a wrong password does not open it.
        await SetPin(plant, TestPlant.OtherTechnician, "538917");
        Assert.NotNull((await ByPin(plant, TestPlant.OtherTechnician, "538917", tablet.Secret)).Secret);
        await plant.Get<SessionStore>().SignIn(TestPlant.Technician.Person, "not the password", default);
        Assert.Null((await ByPin(plant, TestPlant.Technician, Pin, tablet.Secret)).Secret);
        Assert.NotNull((await plant.Get<SessionStore>().SignIn(TestPlant.Technician.Person, TestPlant.Password, default)).Secret);
        Assert.NotNull((await ByPin(plant, TestPlant.Technician, Pin, tablet.Secret)).Secret);
    }

    [Fact]
    public async Task Twenty_guesses_at_once_are_not_more_than_five()
    {
        await using var plant = await TestPlant.Make(Database.Sqlite);
        var tablet = await Tablet(plant);
        await SetPin(plant, TestPlant.Technician);
        var answers = await Task.WhenAll(Enumerable.Range(0, 20).Select(i => Task.Run(() => ByPin(plant, TestPlant.Technician, $"{900_001 + i}", tablet.Secret))));
        Assert.All(answers, a => Assert.Null(a.Secret));
        Assert.Equal((long)PinRules.Attempts, Convert.ToInt64(await plant.Scalar("""SELECT "Failures" FROM "PinTries" """), System.Globalization.CultureInfo.InvariantCulture));
        Assert.Contains("locked until", (await ByPin(plant, TestPlant.Technician, Pin, tablet.Secret)).RefusedBecause, StringComparison.Ordinal);
    }

    [Theory, OnBoth]
    public async Task Only_on_an_enrolled_tablet_and_an_ended_one_ends_its_sessions(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await SetPin(plant, TestPlant.Technician);
        foreach (var secret in new[] { null, "", "no such secret" })
        {
            Assert.Contains("not enrolled", (await ByPin(plant, TestPlant.Technician, Pin, secret)).RefusedBecause, StringComparison.Ordinal);
        }

        var tablet = await Tablet(plant);
        var signedIn = await ByPin(plant, TestPlant.Technician, Pin, tablet.Secret);
        Assert.NotNull(await Find(plant, signedIn));
        var acts = plant.Get<TabletActs>();
        await plant.LeavesNothing<NotFoundException>(() => acts.End(TestPlant.Administrator, new EndTabletRequest(999_999, "gone"), null, default));
        await acts.End(TestPlant.Administrator, new EndTabletRequest(tablet.Tablet, "stolen"), "end", default);
        Assert.Equal(PinRules.EndedAlready, (await plant.LeavesNothing<RefusedException>(() => acts.End(TestPlant.Administrator, new EndTabletRequest(tablet.Tablet, "again"), null, default))).Rule.Id);
        Assert.Null(await Find(plant, signedIn));
        Assert.Contains("not enrolled", (await ByPin(plant, TestPlant.Technician, Pin, tablet.Secret)).RefusedBecause, StringComparison.Ordinal);
        Assert.Equal("stolen", (await plant.Get<TabletReader>().List(default)).Single().Reason);
        Assert.Equal(PinRules.NotEnrolled, PinRules.Unenrolled.Id);
    }

    [Theory, OnBoth]
    public async Task A_badge_opens_for_its_person_until_it_is_replaced_or_ended(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var (acts, tablet) = (plant.Get<TabletActs>(), await Tablet(plant));
        Task<SignInResult> Scan(string? text, string? at) => plant.Get<ShortSignIn>().ByBadge(text, at, null, default);
        var first = (await acts.IssueBadge(TestPlant.Administrator, new IssueBadgeRequest(TestPlant.Technician.Person), default)).Code;
        Assert.Equal(CodeKind.Badge, first.Kind);
        Assert.Contains("not enrolled", (await Scan(first.Text, null)).RefusedBecause, StringComparison.Ordinal);
        var tom = (await Find(plant, await Scan(first.Text, tablet.Secret)))!;
        Assert.Equal((TestPlant.Technician.Person, true), (tom.Person, tom.ByPin));
        Assert.Contains("not read whole", (await Scan(first.Text[..^1], tablet.Secret)).RefusedBecause, StringComparison.Ordinal);
        Assert.Contains("instrument TRK-01; here a badge is asked", (await Scan(PaperCode.OfInstrument("TRK-01").Text, tablet.Secret)).RefusedBecause, StringComparison.Ordinal);

        var second = (await acts.IssueBadge(TestPlant.Administrator, new IssueBadgeRequest(TestPlant.Technician.Person), default)).Code;
        Assert.Contains("ended or replaced", (await Scan(first.Text, tablet.Secret)).RefusedBecause, StringComparison.Ordinal);
        var signedIn = await Scan(second.Text, tablet.Secret);
        await acts.EndBadge(TestPlant.Administrator, new EndBadgeRequest(TestPlant.Technician.Person, "lost"), null, default);
        Assert.Null(await Find(plant, signedIn));
        Assert.Null((await Scan(second.Text, tablet.Secret)).Secret);
        Assert.Equal(PinRules.EndedAlready, (await plant.LeavesNothing<RefusedException>(() => acts.EndBadge(TestPlant.Administrator, new EndBadgeRequest(TestPlant.Technician.Person, "lost"), null, default))).Rule.Id);
        await plant.Sound();
    }

    [Fact]
    public async Task No_secret_and_no_hash_of_one_stands_in_the_history()
    {
        await using var plant = await TestPlant.Make(Database.Sqlite);
        var tablet = await Tablet(plant);
        await SetPin(plant, TestPlant.Technician);
        var badge = (await plant.Get<TabletActs>().IssueBadge(TestPlant.Administrator, new IssueBadgeRequest(TestPlant.Technician.Person), default)).Code;
        var hash = (string)(await plant.Scalar("""SELECT "PinHash" FROM "Pins" """))!;
        await using var db = plant.Get<Storage.Store>().OpenToRead();
        var written = string.Join('\n', db.Acts.Select(a => a.Payload + a.Outcome + a.RequestHash + a.Subject));
        foreach (var secret in new[] { tablet.Secret, CanonicalJson.Hash(tablet.Secret), badge.Name, CanonicalJson.Hash(badge.Name), Pin, hash })
        {
            Assert.DoesNotContain(secret, written, StringComparison.OrdinalIgnoreCase);
        }
    }

    [Theory, OnBoth]
    public async Task A_PIN_is_six_digits_not_easily_guessed_and_set_with_the_password(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        foreach (var easy in new[] { null, "", "12345", "1234567", "12345a", "123456", "654321", "111111", "121212", "123123", "112211", "150384", "840315", "123321" })
        {
            Assert.True(PinRules.WhyNotPin(easy) is { Id: PinRules.TooEasy }, easy);
        }

        Assert.Equal(PinRules.TooEasy, (await plant.LeavesNothing<RefusedException>(() => SetPin(plant, TestPlant.Technician, "123456"))).Rule.Id);
        await plant.LeavesNothing<RefusedException>(() => plant.Get<TabletActs>().SetPin(TestPlant.Technician, new SetPinRequest(Pin, "not the password"), default));
        await SetPin(plant, TestPlant.Technician);
        await SetPin(plant, TestPlant.Technician, "482917");
        var tablet = await Tablet(plant);
        Assert.Null((await ByPin(plant, TestPlant.Technician, Pin, tablet.Secret)).Secret);
        Assert.NotNull((await ByPin(plant, TestPlant.Technician, "482917", tablet.Secret)).Secret);
        Assert.Equal(PinRules.Locked, PinRules.WhyLocked("Tom Tech").Id);
    }
}
