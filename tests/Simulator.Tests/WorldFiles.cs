using LoadTest.Simulator.Parameters;

namespace LoadTest.SimulatorTests;

/// <summary>World files are read strictly and every finding says what is allowed.</summary>
public class WorldFiles
{
    private static readonly string Demo = ReadDemo();

    [Fact]
    public void Demo_world_reads()
    {
        Assert.Equal(WorldFile.Demo().World, WorldFile.Parse(Demo).World);
        Assert.Equal(8, WorldFile.Demo().Bank.ElementOhms.Length);
    }

    [Theory]
    [InlineData("\"ratedRpm\": 1800", "\"ratedRpn\": 1800", "ratedRpn")]
    [InlineData("\"ratedRpm\": 1800,", "", "ratedRpm")]
    [InlineData("\"ratedRpm\": 1800", "\"ratedRpm\": 1800, \"ratedRpm\": 1801", "uplicate")]
    [InlineData("\"ratedRpm\": 1800", "\"ratedRpm\": \"1800\"", "$.engine.ratedRpm")]
    [InlineData("\"ratedRpm\": 1800", "\"ratedRpm\": 1e999", "allowed is 100 to 10000 rpm")]
    [InlineData("\"ratedRpm\": 1800", "\"ratedRpm\": -5", "engine.ratedRpm is -5 rpm; allowed is 100 to 10000 rpm")]
    [InlineData(
        "\"protocol\": \"modbus-rtu\"",
        "\"protocol\": \"smoke\"",
        "bank.protocol is 'smoke'; allowed is modbus-rtu"
    )]
    [InlineData("\"senses\": \"unit shunt\"", "\"senses\": \"air\"", "meters[2].senses is 'air'")]
    [InlineData("\"name\": \"dmm-3\"", "\"name\": \"dmm-2\"", "'dmm-2' names 2 devices")]
    [InlineData("[0.1, 1, 10, 100, 1000]", "[0.1, 10, 1]", "rangesVolts[2] is 1 V; allowed is 15 to 2000 V")]
    [InlineData(
        "\"faults\": []",
        "\"faults\": [{\"fault\": \"gremlin\", \"atSeconds\": 1}]",
        "'gremlin' is not a fault"
    )]
    [InlineData("\"format\": 1", "\"format\": 2", "format is 2; allowed is 1 to 1")]
    [InlineData("\"format\": 1,", "\"format\": 1", "world(")]
    public void Broken_world_is_refused_with_what_and_where(string good, string bad, string finding)
    {
        Assert.Contains(good, Demo, StringComparison.Ordinal);
        var broken = Demo.Replace(good, bad, StringComparison.Ordinal);
        var refusal = Assert.Throws<WorldFileException>(() => WorldFile.Parse(broken));
        Assert.Contains(finding, refusal.Message, StringComparison.Ordinal);
        Assert.NotEmpty(refusal.Findings);
    }

    [Fact]
    public void Every_value_out_of_range_is_found_at_once()
    {
        var broken = Demo.Replace("\"poles\": 4", "\"poles\": 0", StringComparison.Ordinal)
            .Replace("\"ohms\": 0.0012", "\"ohms\": -1", StringComparison.Ordinal);
        Assert.Equal(2, Assert.Throws<WorldFileException>(() => WorldFile.Parse(broken)).Findings.Count);
    }

    [Theory]
    [InlineData("")]
    [InlineData("null")]
    [InlineData("[]")]
    [InlineData("{}")]
    public void Text_that_is_no_world_is_refused(string text) =>
        Assert.Throws<WorldFileException>(() => WorldFile.Parse(text));

    private static string ReadDemo()
    {
        using var stream = typeof(WorldFile).Assembly.GetManifestResourceStream("worlds/demo.json");
        Assert.NotNull(stream);
        using var reader = new StreamReader(stream);
        return reader.ReadToEnd();
    }
}
