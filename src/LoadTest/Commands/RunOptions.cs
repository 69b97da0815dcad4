using System.CommandLine;
using LoadTest.Running;
using LoadTest.Sequencer.Text;

namespace LoadTest.Commands;

/// <summary>Arguments and options of the verb <c>run</c>.</summary>
internal sealed class RunOptions
{
    private readonly Argument<string> _profile = CommonOptions.Profile();
    private readonly Argument<string> _nameplate = CommonOptions.Nameplate();
    private readonly Argument<string> _bench = CommonOptions.Bench();
    private readonly Option<string?> _serial = Text(
        "--serial",
        "NUMBER",
        "Serial number of the unit, where the nameplate file is of a type."
    );
    private readonly Option<string> _operator = new("--operator")
    {
        Description = "Who answers: a person at this terminal, or a script (simulated benches only).",
        DefaultValueFactory = _ => "terminal",
    };
    private readonly Option<string?> _name = Text("--name", "NAME", "Name of the person at the terminal.");
    private readonly Option<string[]> _byHand = new("--by-hand")
    {
        Description = "Values a script gives for steps by hand, in order, as they are typed: 9.0 is not 9.",
        HelpName = "NUMBER",
        AllowMultipleArgumentsPerToken = true,
    };
    private readonly Option<string> _store = CommonOptions.Out();
    private readonly Option<ulong> _seed = CommonOptions.Seed();
    private readonly Option<bool> _isVirtual = new("--virtual-time")
    {
        Description = "Time jumps instead of passing; only on the embedded simulated bench.",
    };
    private readonly Option<string?> _date = Text(
        "--date",
        "DATE",
        "Date of the run on a simulated bench, as 2026-11-25; without it today."
    );
    private readonly Option<string?> _world = CommonOptions.World();
    private readonly Option<string?> _wires = Text(
        "--wires",
        "FILE",
        "Where a simulated bench is served: what `simulate --json` printed."
    );
    private readonly Option<string?> _hands = Text(
        "--hands",
        "HOST:PORT",
        "Address of the served simulator's hands, where the bench file has the lines."
    );
    private readonly Option<string?> _secret = Text("--secret", "HEX", "Secret of the simulator's start.");
    private readonly Option<string?> _secretFile = Text("--secret-file", "FILE", "File that holds that secret.");
    private readonly Option<bool> _verbose = CommonOptions.Verbose();

    public RunOptions()
    {
        _operator.AcceptOnlyFromAmong("terminal", "script");
        _byHand.Validators.Add(result =>
        {
            foreach (var token in result.Tokens.Where(t => TypedNumber.Read(t.Value, Unit.One) is null))
                result.AddError($"--by-hand: \"{token.Value}\" is no number. Write for example 8.8.");
        });
    }

    /// <summary>All of them, in the order of the help.</summary>
    public IEnumerable<Symbol> All =>
        [
            _profile,
            _nameplate,
            _bench,
            _serial,
            _operator,
            _name,
            _byHand,
            _store,
            _seed,
            _isVirtual,
            _date,
            _world,
            _wires,
            _hands,
            _secret,
            _secretFile,
            _verbose,
        ];

    /// <summary>What a command line ordered.</summary>
    public RunOrder Order(ParseResult parsed, Screen screen) =>
        new(screen)
        {
            Profile = parsed.GetRequiredValue(_profile),
            Nameplate = parsed.GetRequiredValue(_nameplate),
            BenchFile = parsed.GetRequiredValue(_bench),
            SerialNumber = parsed.GetValue(_serial),
            IsScripted = parsed.GetValue(_operator) == "script",
            Name = parsed.GetValue(_name),
            ByHand = parsed.GetValue(_byHand) ?? [],
            Store = parsed.GetRequiredValue(_store),
            Seed = parsed.GetValue(_seed),
            IsVirtual = parsed.GetValue(_isVirtual),
            Date = parsed.GetValue(_date),
            World = parsed.GetValue(_world),
            WiresFile = parsed.GetValue(_wires),
            HandsAddress = parsed.GetValue(_hands),
            Secret = parsed.GetValue(_secret),
            SecretFile = parsed.GetValue(_secretFile),
            IsVerbose = parsed.GetValue(_verbose),
        };

    private static Option<string?> Text(string name, string help, string description) =>
        new(name) { HelpName = help, Description = description };
}
