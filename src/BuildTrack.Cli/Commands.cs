using System.CommandLine;

namespace BuildTrack.Cli;

/// <summary>The <c>buildtrack</c> command.</summary>
public static class Commands
{
    /// <summary>Exit code of a command line or an input that cannot be used.</summary>
    public const int BadInput = 2;

    /// <summary>Runs a command line; the answer is the exit code.</summary>
    public static int Run(string[] args, TextWriter output, TextWriter errors)
    {
        var root = new RootCommand("Follows flat-bed laser cutting machines from weld to acceptance certificate.")
        {
            EvaluateCommand.Make(output, errors),
            VerifyCommand.Make(output, errors),
        };
        var parsed = root.Parse(args);
        if (parsed.Errors.Count > 0)
        {
            foreach (var error in parsed.Errors)
            {
                errors.WriteLine(error.Message);
            }

            return BadInput;
        }

        return parsed.Invoke(new InvocationConfiguration { Output = output, Error = errors });
    }
}
