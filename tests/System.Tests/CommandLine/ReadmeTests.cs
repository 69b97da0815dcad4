using System.Text.RegularExpressions;
using LoadTest.Commands;

namespace LoadTest.SystemTests.CommandLine;

/// <summary>What the README shows is what the program prints, and its command lines are ones it takes.</summary>
/// <remarks>Run with LOADTEST_WRITE_README=1 to put what is printed now in place of the lines shown, once their change is meant.</remarks>
public sealed partial class ReadmeTests : IDisposable
{
    private const string Fence = "```";
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("readme");

    private static string ReadmePath { get; } = Path.Combine(Root(), "README.md");

    public void Dispose() => _folder.Delete(recursive: true);

    [Fact]
    public async Task Every_line_the_readme_shows_of_the_demo_is_printed_by_it_in_that_order()
    {
        var readme = await File.ReadAllTextAsync(ReadmePath, TestContext.Current.CancellationToken);
        var block = Blocks(readme).Single(b => b.Contains("Run demo complete", StringComparison.Ordinal));
        var end = await BuiltProgram.RunAsync(_folder.FullName, "demo");
        Assert.True(end.Exit == 0, end.ToString());
        var printed = end.Output.Split('\n');
        if (Environment.GetEnvironmentVariable("LOADTEST_WRITE_README") == "1")
        {
            var renewed = InOrder(block.Split('\n'), printed, Likeness);
            readme = readme.Replace(block, string.Join('\n', renewed), StringComparison.Ordinal);
            await File.WriteAllTextAsync(ReadmePath, readme, TestContext.Current.CancellationToken);
            return;
        }

        Assert.Equal(10, block.Split('\n').Length);
        Assert.Equal(block.Split('\n'), InOrder(block.Split('\n'), printed, line => line), StringComparer.Ordinal);
    }

    [Fact]
    public void Every_command_line_of_the_readme_is_one_the_program_takes()
    {
        var lines = Blocks(File.ReadAllText(ReadmePath))
            .SelectMany(b => b.Split('\n'))
            .Select(l => CommandStart().Match(l))
            .Where(m => m.Success)
            .Select(m => m.Groups["rest"].Value.Split('>')[0].Trim())
            .ToArray();
        Assert.True(lines.Length >= 3, string.Join('\n', lines));
        foreach (var line in lines)
            Assert.Empty(CommandTree.Root().Parse(line).Errors.Select(e => $"{line}: {e.Message}"));
    }

    // How a line begins, figures left out: enough to know it again after its words have changed.
    private static string Likeness(string line)
    {
        var plain = Digits().Replace(line, "#");
        return plain[..Math.Min(plain.Length, 24)];
    }

    // For each line shown the next one printed that is like it; one that is printed no more is said so.
    private static List<string> InOrder(string[] shown, string[] printed, Func<string, string> likeness)
    {
        var found = new List<string>();
        var from = 0;
        foreach (var line in shown)
        {
            var at = Array.FindIndex(printed, from, p => likeness(p) == likeness(line));
            found.Add(at < 0 ? $"not printed here: {line}" : printed[at]);
            from = at < 0 ? from : at + 1;
        }
        return found;
    }

    private static IEnumerable<string> Blocks(string text) =>
        text.Split(Fence).Where((_, k) => k % 2 == 1).Select(b => b.Trim('\n'));

    private static string Root()
    {
        var folder = new DirectoryInfo(AppContext.BaseDirectory);
        while (!File.Exists(Path.Combine(folder.FullName, "LoadTest.sln")))
            folder = folder.Parent!;
        return folder.FullName;
    }

    [GeneratedRegex(@"[\d.−]+| +", RegexOptions.None, 1000)]
    private static partial Regex Digits();

    [GeneratedRegex(
        @"^(loadtest|dotnet run --project src/LoadTest --) (?<rest>.+)$",
        RegexOptions.ExplicitCapture,
        1000
    )]
    private static partial Regex CommandStart();
}
