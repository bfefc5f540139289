using BuildTrack.Cli;

return Commands.Run(args, Console.Out, Console.Error);
