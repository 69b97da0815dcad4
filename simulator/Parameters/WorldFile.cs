using System.Text.Json;
using System.Text.Json.Serialization;
using LoadTest.Simulator.Faults;

namespace LoadTest.Simulator.Parameters;

/// <summary>Every parameter of a simulated bench, as its JSON file gives them.</summary>
/// <remarks>Parameters only: a world says nothing about limits or procedures. Built by <see cref="Parse"/>, which checks it.</remarks>
public sealed record WorldFile
{
    private static readonly WorldJson Strict = new(
        new JsonSerializerOptions(JsonSerializerOptions.Strict)
        {
            PropertyNamingPolicy = JsonNamingPolicy.CamelCase,
            ReadCommentHandling = JsonCommentHandling.Skip,
            NumberHandling = JsonNumberHandling.Strict,
            MaxDepth = 8,
        }
    );

    /// <summary>Format of the file, 1.</summary>
    public required int Format { get; init; }

    /// <summary>What the world is called.</summary>
    public required string World { get; init; }

    /// <summary>Ambient temperature, °C.</summary>
    public required double AmbientCelsius { get; init; }

    /// <summary>Engine and governor.</summary>
    public required EngineWorld Engine { get; init; }

    /// <summary>Alternator and field.</summary>
    public required AlternatorWorld Alternator { get; init; }

    /// <summary>Rectifier and source impedance.</summary>
    public required RectifierWorld Rectifier { get; init; }

    /// <summary>Output control.</summary>
    public required ControlWorld Control { get; init; }

    /// <summary>The unit's own shunt, which its control and panel ammeter read.</summary>
    public required ShuntWorld UnitShunt { get; init; }

    /// <summary>The bench's reference shunt.</summary>
    public required ShuntWorld ReferenceShunt { get; init; }

    /// <summary>Leads to the bank.</summary>
    public required LeadsWorld Leads { get; init; }

    /// <summary>The load bank.</summary>
    public required BankWorld Bank { get; init; }

    /// <summary>The multimeters.</summary>
    public required MeterWorld[] Meters { get; init; }

    /// <summary>Loggers of temperatures and of the auxiliary output; null when there are none.</summary>
    public LoggerWorld[]? Loggers { get; init; }

    /// <summary>What else stands on the bench; null when there is nothing.</summary>
    public AccessoryWorld[]? Accessories { get; init; }

    /// <summary>The auxiliary AC output; null when the unit has none.</summary>
    public AuxiliaryWorld? Auxiliary { get; init; }

    /// <summary>How winding and lugs warm; null when they do not.</summary>
    public HeatWorld? Heat { get; init; }

    /// <summary>The unit's panel meters.</summary>
    public required PanelWorld Panel { get; init; }

    /// <summary>Faults that are there from the start or come at a time.</summary>
    public required FaultWorld[] Faults { get; init; }

    /// <summary>Reads and checks a world.</summary>
    /// <param name="json">Text of the file; comments are allowed, unknown and repeated names are not.</param>
    /// <param name="file">Name used in findings.</param>
    /// <exception cref="WorldFileException">Not JSON, a name unknown, missing or repeated, or a value outside its range. All
    /// range findings come at once.</exception>
    public static WorldFile Parse(string json, string file = "world")
    {
        ArgumentNullException.ThrowIfNull(json);
        WorldFile? world;
        try
        {
            world = JsonSerializer.Deserialize(json, Strict.WorldFile);
        }
        catch (JsonException e)
        {
            var line = (e.LineNumber + 1)?.ToString() ?? "?";
            var place = string.IsNullOrEmpty(e.Path) ? "" : $" at {e.Path}";
            throw new WorldFileException(
                $"{file}({line}){place}: {e.Message} Compare with the demo world that ships with the simulator.",
                e
            );
        }

        var findings = WorldRules.Check(
            world ?? throw new WorldFileException($"{file}: holds null instead of a world.")
        );
        return findings.Count == 0
            ? world
            : throw new WorldFileException(findings.Select(finding => $"{file}: {finding}").ToArray());
    }

    /// <summary>The demo world: an invented 300 A welding generator as it came back from a rebuild.</summary>
    public static WorldFile Demo() => Shipped("demo.json");

    private static WorldFile Shipped(string name)
    {
        using var stream =
            typeof(WorldFile).Assembly.GetManifestResourceStream($"worlds/{name}")
            ?? throw new InvalidOperationException($"The assembly was built without worlds/{name}.");
        using var reader = new StreamReader(stream);
        return Parse(reader.ReadToEnd(), $"worlds/{name}");
    }

    /// <summary>The workshop world: the demo's unit, sound, with auxiliary output, AC elements, loggers and a fast meter.</summary>
    public static WorldFile Workshop() => Shipped("workshop.json");

    /// <summary>The demo's unit on a bench with an instrument of every kind; its bank speaks lines of text.</summary>
    public static WorldFile EveryKind() => Shipped("every-kind.json");

    /// <summary>The same world with its bank on another framing.</summary>
    /// <param name="protocol">"modbus-rtu", "modbus-tcp" or "text".</param>
    public WorldFile WithBankProtocol(string protocol) =>
        protocol is "modbus-rtu" or "modbus-tcp" or "text"
            ? this with
            {
                Bank = Bank with { Protocol = protocol },
            }
            : throw new ArgumentException(
                $"'{protocol}' is not a framing of the bank; use modbus-rtu, modbus-tcp or text.",
                nameof(protocol)
            );
}

// Made at build time: reading a world costs no reflection at start.
[JsonSerializable(typeof(WorldFile))]
internal sealed partial class WorldJson : JsonSerializerContext;
