using LoadTest.Running;

namespace LoadTest.Commands;

/// <summary>The three files of a run as a person names them on the command line.</summary>
internal static class InputFiles
{
    /// <summary>Finds and reads them, shows what there is to say, and ends the command when one has an error.</summary>
    public static RunFiles Read(Screen screen, string profile, string nameplate, string bench)
    {
        var files = Guarded(() =>
            RunFiles.Read(
                ProfileFolder.Find(profile, ""),
                ProfileFolder.Find(nameplate, "nameplates"),
                ProfileFolder.Find(bench, "benches")
            )
        );
        var hasError = screen.Findings(files.Findings);
        return files.Plan is not null && !hasError
            ? files
            : throw new CommandEnded(
                ExitCode.BadInput,
                "Nothing was started. Mend the errors above; `loadtest check FILE...` looks again."
            );
    }

    /// <summary>Reads what a person named; what cannot be read ends the command as bad input.</summary>
    public static T Guarded<T>(Func<T> read)
    {
        try
        {
            return read();
        }
        catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException)
        {
            throw new CommandEnded(ExitCode.BadInput, trouble.Message);
        }
    }
}
