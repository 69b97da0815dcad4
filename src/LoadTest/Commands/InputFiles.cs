using LoadTest.Records;
using LoadTest.Running;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Text;
using LoadTest.Simulator.Parameters;

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

    /// <summary>Reads a bench to be simulated, and its world.</summary>
    public static (Bench Bench, Worlds World) ReadSimulated(Screen screen, string bench, string? world)
    {
        var (value, path) = ReadBench(screen, bench);
        return (value, World(value, path, world));
    }

    /// <summary>Reads a bench; where it was found comes with it.</summary>
    public static (Bench Bench, string Path) ReadBench(Screen screen, string bench)
    {
        var path = Guarded(() => ProfileFolder.Find(bench, "benches"));
        var read = Guarded(() =>
            BenchReader.Read(
                path,
                Edited(path),
                name => ProfileFolder.Resolve(path, name) is { } file ? Edited(file) : null
            )
        );
        var hasError = screen.Findings(read.Findings);
        return read.Value is { } value && !hasError
            ? (value, path)
            : throw new CommandEnded(ExitCode.BadInput, "Nothing was started. Mend the errors above.");
    }

    /// <summary>Reads the world of a bench.</summary>
    public static Worlds World(Bench bench, string benchPath, string? file)
    {
        try
        {
            return Guarded(() => Worlds.Of(bench, benchPath, file));
        }
        catch (WorldFileException trouble)
        {
            throw new CommandEnded(ExitCode.BadInput, trouble.Message);
        }
    }

    /// <summary>The text of a small file that is no file of the format, such as what <c>simulate --json</c> printed.</summary>
    public static string Text(string path) =>
        Guarded(() => System.Text.Encoding.UTF8.GetString(RegularFile.Whole(path, FileText.MostBytes)));

    private static byte[] Edited(string path) => RegularFile.Head(path, FileText.MostBytes);

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
