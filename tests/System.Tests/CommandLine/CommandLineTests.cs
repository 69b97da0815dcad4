using LoadTest.Commands;

namespace LoadTest.SystemTests.CommandLine;

public sealed class CommandLineTests : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("command-line");

    public void Dispose() => _folder.Delete(recursive: true);

    [Fact]
    public void Every_verb_has_an_example_that_parses_as_that_verb()
    {
        var root = CommandTree.Root();
        var verbs = root.Subcommands.OfType<ExampleCommand>().ToArray();

        Assert.Equal(root.Subcommands.Count, verbs.Length);
        foreach (var verb in verbs)
        {
            var words = verb.Example.Split(' ');
            Assert.Equal("loadtest", words[0]);
            Assert.Equal(verb.Name, words[1]);
            Assert.Empty(root.Parse(verb.Example["loadtest ".Length..]).Errors);
        }
    }

    [Fact]
    public void Every_verb_gives_one_json_document_when_asked()
    {
        Assert.All(
            CommandTree.Root().Subcommands,
            verb => Assert.Contains(verb.Options, o => o.Name == CommonOptions.JsonName)
        );
    }

    [Theory]
    [InlineData("")]
    [InlineData("frobnicate")]
    [InlineData("demo --seed many")]
    [InlineData("demo --no-such-option")]
    [InlineData("plan short-check.yaml")]
    [InlineData("run short-check.yaml demo-300.yaml demo.yaml --operator nobody")]
    [InlineData("simulate demo.yaml --port -1")]
    [InlineData("verify")]
    public void Wrong_arguments_are_bad_input(string line) =>
        Assert.Equal((int)ExitCode.BadInput, CommandTree.Run(line.Split(' ', StringSplitOptions.RemoveEmptyEntries)));

    [Fact]
    public async Task Wrong_argument_of_the_built_program_ends_with_2_and_says_so_in_json()
    {
        var end = await BuiltProgram.RunAsync(_folder.FullName, "demo", "--sead", "1", "--json");

        Assert.Equal(2, end.Exit);
        Assert.Equal(2, end.Document.GetProperty("exit").GetInt32());
        Assert.Contains("--sead", end.Trouble, StringComparison.Ordinal);
        Assert.Contains("loadtest demo --help", end.Trouble, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("plan", "none.yaml", "demo-300.yaml", "demo.yaml", "output-verification.yaml")]
    [InlineData("plan", "short-check.yaml", "none.yaml", "demo.yaml", "demo-300.yaml")]
    [InlineData("run", "short-check.yaml", "demo-300.yaml", "none.yaml", "demo-modbus-tcp.yaml")]
    [InlineData("simulate", "none.yaml", null, null, "demo-modbus-tcp.yaml")]
    public async Task File_that_is_not_there_is_bad_input_and_the_shipped_ones_are_named(
        string verb,
        string first,
        string? second,
        string? third,
        string shipped
    )
    {
        string[] words = [verb, .. new[] { first, second, third }.OfType<string>()];
        var end = await BuiltProgram.RunAsync(_folder.FullName, words);

        Assert.Equal(2, end.Exit);
        Assert.Contains("There is no file `none.yaml` here.", end.Trouble, StringComparison.Ordinal);
        Assert.Contains(shipped, end.Trouble, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Bad_files_are_bad_input_with_every_finding_at_its_place()
    {
        var file = Path.Combine(_folder.FullName, "bad.yaml");
        await File.WriteAllTextAsync(
            file,
            "format: 1\nprofile: Bad\nrevision: 1\nfor: dc welding generator\naverage: 5\nsetle: { }\n",
            TestContext.Current.CancellationToken
        );

        var check = await BuiltProgram.RunAsync(_folder.FullName, "check", "bad.yaml", "none.yaml");
        Assert.Equal(2, check.Exit);
        Assert.Contains("bad.yaml(5,10): error:", check.Output, StringComparison.Ordinal);
        Assert.Contains("bad.yaml(6,1): error:", check.Output, StringComparison.Ordinal);
        Assert.Contains("none.yaml", check.Trouble, StringComparison.Ordinal);

        var plan = await BuiltProgram.RunAsync(
            _folder.FullName,
            "plan",
            "bad.yaml",
            "demo-300.yaml",
            "demo.yaml",
            "--json"
        );
        Assert.Equal(2, plan.Exit);
        Assert.Contains(
            plan.Document.GetProperty("findings").EnumerateArray(),
            f => f.GetProperty("line").GetInt32() == 5 && f.GetProperty("severity").GetString() == "error"
        );
    }

    [Fact]
    public async Task Plan_is_shown_and_drawn()
    {
        var end = await BuiltProgram.RunAsync(
            _folder.FullName,
            "plan",
            "output-verification.yaml",
            "demo-300.yaml",
            "demo.yaml",
            "--svg",
            "plan.svg"
        );

        Assert.True(end.Exit == 0, end.ToString());
        Assert.Contains("longest time from a fault to load off", end.Output, StringComparison.Ordinal);
        Assert.StartsWith(
            "<?xml",
            await File.ReadAllTextAsync(
                Path.Combine(_folder.FullName, "plan.svg"),
                TestContext.Current.CancellationToken
            ),
            StringComparison.Ordinal
        );
    }

    [Fact]
    public async Task Bench_that_is_not_proved_simulated_is_refused()
    {
        var end = await BuiltProgram.RunAsync(
            _folder.FullName,
            "run",
            "short-check.yaml",
            "demo-300.yaml",
            "demo-modbus-tcp.yaml",
            "--operator",
            "script"
        );

        Assert.Equal(3, end.Exit);
        Assert.Contains("not proved simulated", end.Trouble, StringComparison.Ordinal);
        Assert.False(Directory.Exists(Path.Combine(_folder.FullName, "runs")));
    }
}
