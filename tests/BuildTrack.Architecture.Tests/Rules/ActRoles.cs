using System.Reflection;

namespace BuildTrack.Architecture.Tests.Rules;

/// <summary>Every act has a name, stands in the list of all acts, and belongs to at least one known role.</summary>
internal static class ActRoles
{
    public static IEnumerable<string> Missing(Type acts, IReadOnlyList<string> all, Func<string, IReadOnlyList<string>> rolesFor, IReadOnlyList<string> roles)
    {
        var constants = acts.GetFields(BindingFlags.Public | BindingFlags.Static).Where(f => f.IsLiteral).Select(f => (f.Name, Value: (string)f.GetRawConstantValue()!)).ToList();
        foreach (var (name, value) in constants.Where(c => !all.Contains(c.Value)))
        {
            yield return $"{name} '{value}' is not in the list of all acts";
        }

        foreach (var act in all)
        {
            IReadOnlyList<string>? may;
            try
            {
                may = rolesFor(act);
            }
            catch (KeyNotFoundException)
            {
                may = null;
            }

            if (may is null or [])
            {
                yield return $"'{act}' is allowed to no role";
            }
            else
            {
                foreach (var role in may.Except(roles))
                {
                    yield return $"'{act}' is allowed to '{role}', which is no role";
                }
            }
        }
    }
}
