using System.Collections.Concurrent;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Storage;
using Microsoft.AspNetCore.Identity;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.Options;

namespace BuildTrack.Records.People;

/// <summary>Hashes and checks passwords (PBKDF2, HMAC-SHA-512, 210,000 rounds), and slows down guessing by account.</summary>
/// <remarks>By account, not by address: a shared tablet at the start of a shift would lock itself.</remarks>
public sealed class PasswordCheck(Store store, TimeProvider clock)
{
    private const int FailuresPerMinute = 5;
    public const int LeastLength = 15;

    private const int Rounds = 210_000;

    // The demo's one password stands in the README; its loading signs a hundred releases with it.
    private const int RoundsWhileFilling = 1_000;

    private static readonly object Nobody = new();
    private static readonly Lazy<string> NobodysHash = new(() => Hash(Guid.NewGuid().ToString(), filling: false));
    private readonly ConcurrentDictionary<string, (int Failures, long Since)> failures = new();

    /// <param name="filling">The database is a demo being filled.</param>
    public static string Hash(string password, bool filling) => HasherOf(filling ? RoundsWhileFilling : Rounds).HashPassword(Nobody, password);

    /// <summary>Whether a hash was made from this password or PIN.</summary>
    public static bool Matches(string hash, string password) => HasherOf(Rounds).VerifyHashedPassword(Nobody, hash, password) != PasswordVerificationResult.Failed;

    // A hash says itself how many rounds made it.
    private static PasswordHasher<object> HasherOf(int rounds) => new(Options.Create(new PasswordHasherOptions { IterationCount = rounds }));

    /// <summary>Why a password is not taken; null when it is.</summary>
    public static InputFault? WhyNot(string? password) => password switch
    {
        null => new InputFault("password", "nothing", $"at least {LeastLength} characters"),
        { Length: < LeastLength } => new InputFault("password", $"{password.Length} characters", $"at least {LeastLength}"),
        { Length: > 200 } => new InputFault("password", $"{password.Length} characters", "at most 200"),
        _ => null,
    };

    /// <summary>Checks a sign-in name and password. An unknown name takes as long as a wrong password.</summary>
    /// <returns>The person, or null with the reason to show.</returns>
    public async Task<(PersonRow? Person, string? Because)> Check(string person, string password, CancellationToken ct)
    {
        var now = clock.GetTimestamp();
        if (failures.TryGetValue(person, out var seen) && seen.Failures >= FailuresPerMinute && clock.GetElapsedTime(seen.Since) < TimeSpan.FromMinutes(1))
        {
            return (null, $"{FailuresPerMinute} wrong passwords within a minute; wait a minute and try again");
        }

        await using var db = store.OpenToRead();
        var row = await db.Persons.SingleOrDefaultAsync(p => p.Person == person, ct);
        var good = Matches(row?.PasswordHash ?? NobodysHash.Value, password);
        if (row is { Disabled: false } && good)
        {
            failures.TryRemove(person, out _);
            return (row, null);
        }

        failures.AddOrUpdate(person, _ => (1, now), (_, old) => clock.GetElapsedTime(old.Since) < TimeSpan.FromMinutes(1) ? (old.Failures + 1, old.Since) : (1, now));
        return (null, "name or password is wrong");
    }

    /// <summary>Demands the caller's password again, as a signature does.</summary>
    /// <exception cref="RefusedException">It is wrong.</exception>
    public Task Demand(Caller who, string? password, CancellationToken ct) => Demand(who.Person, password, ct);

    /// <summary>Demands the password of a second person who signs in the same act.</summary>
    /// <returns>The person, with the roles held now.</returns>
    /// <exception cref="RefusedException">There is no such person, or the password is wrong.</exception>
    public async Task<Caller> Demand(string person, string? password, CancellationToken ct)
    {
        var (row, because) = await Check(person, password ?? "", ct);
        return row is not null ? SessionStore.ToCaller(row)
            : throw new RefusedException(new BrokenRule(ReleaseRules.WrongPassword, $"The password of {person} was not accepted: {because}. Nothing was released or changed."));
    }
}
