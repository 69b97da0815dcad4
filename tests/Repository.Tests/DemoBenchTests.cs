using System.Globalization;
using System.Text;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Simulator;
using LoadTest.Simulator.Parameters;

namespace LoadTest.RepositoryTests;

/// <summary>The demo bench files describe the bench the simulator really serves.</summary>
public sealed class DemoBenchTests
{
    private static readonly DateTimeOffset Start = new(2026, 11, 25, 8, 0, 0, TimeSpan.Zero);

    [Fact]
    public void Every_meter_identifies_as_its_file_says_and_reads_back_what_was_set()
    {
        var bench = Read("profiles/benches/demo.yaml");
        var pump = Pump.Virtual(Start);
        using var simulated = SimulatedBench.Create(WorldFile.Demo(), pump, 1);
        foreach (var instrument in bench.Instruments.Where(i => i.Definition.Protocol == Protocol.Scpi))
        {
            var device = simulated.Devices.Single(d => d.Name == ((LineText.Simulated)instrument.Line).Device);
            var identity = Assert.IsType<IdentityCheck.IdentificationQuery>(instrument.Definition.Identity);
            var reply = Ask(pump, device, "*IDN?").Split(',');
            Assert.Equal([identity.Maker, identity.Model, instrument.SerialNumber], reply[..3]);
            foreach (var commands in instrument.Definition.Inputs.Select(i => i.Commands!))
            {
                foreach (var command in commands.Configure)
                {
                    device.Receive(Encoding.ASCII.GetBytes(command + "\n"));
                }
                foreach (var (query, expected) in commands.ReadBack)
                {
                    Assert.Equal(Number(expected), Number(Ask(pump, device, query)));
                }
                Assert.True(double.IsFinite(Number(Ask(pump, device, commands.Read))));
            }
            Assert.StartsWith("0,", Ask(pump, device, "SYST:ERR?"), StringComparison.Ordinal);
        }
    }

    [Fact]
    public void The_file_has_the_elements_shunts_serial_numbers_and_channels_of_the_world()
    {
        var world = WorldFile.Demo();
        foreach (var file in new[] { "profiles/benches/demo.yaml", "profiles/benches/demo-modbus-tcp.yaml" })
        {
            var bench = Read(file);
            Assert.Equal(world.Bank.ElementOhms, bench.Bank.Elements.Select(e => e.Resistance.Value));
            Assert.Equal(
                world.Bank.SerialNumber.ToString(CultureInfo.InvariantCulture),
                bench.Instrument("bank-1").SerialNumber
            );
            Assert.Equal(world.ReferenceShunt.RatedAmperes, bench.ReferenceShunt.RatedAmperes.Value);
            Assert.Equal(world.ReferenceShunt.RatedMillivolts, bench.ReferenceShunt.RatedVolts.Value * 1000, 9);
            Assert.True(world.Bank.TolerancePercent / 100 <= bench.Bank.Elements.Min(e => e.Tolerance));
            Assert.True(
                world.Bank.OpenMilliseconds
                    < bench.Instrument("bank-1").Definition.Switching!.OpenTime.TotalMilliseconds
            );
            Assert.True(
                world.Bank.CloseMilliseconds
                    < bench.Instrument("bank-1").Definition.Switching!.CloseTime.TotalMilliseconds
            );
            foreach (var meter in world.Meters)
            {
                var channel = bench.Channels.Single(c => c.InstrumentId == meter.Name);
                Assert.StartsWith(
                    meter.Senses,
                    channel.Role is ChannelRole.StudVolts ? "stud volts"
                        : channel.Role is ChannelRole.UnitShuntDrop ? "unit shunt"
                        : "reference shunt",
                    StringComparison.Ordinal
                );
            }
        }
    }

    [Fact]
    public void The_nameplate_claims_what_the_simulated_unit_was_built_as()
    {
        var world = WorldFile.Demo();
        var plate = NameplateReader.Read("n", Bytes("profiles/nameplates/demo-300.yaml")).Value!;
        var current = plate.Modes.Single(m => m.Characteristic == Characteristic.ConstantCurrent);
        Assert.Equal(world.UnitShunt.RatedAmperes, plate.Shunt.RatedAmperes.Value);
        Assert.Equal(world.UnitShunt.RatedMillivolts, plate.Shunt.RatedVolts.Value * 1000, 9);
        Assert.Equal(world.Control.MinimumAmperes, current.MinimumSetting.Value);
        Assert.Equal(world.Control.MaximumAmperes, current.MaximumSetting.Value);
        Assert.Equal(world.Engine.RatedRpm, plate.Engine.RatedSpeed);
        Assert.Equal(world.Engine.IdleRpm, plate.Engine.IdleSpeed);
        // Ceiling: mean of the bridge, 3√2/π · V_LL = 1.3505 · V_LL (six-pulse bridge, textbook), less two diodes, behind the source resistance.
        var open = (1.3505 * world.Alternator.LineVolts) - (2 * world.Rectifier.DiodeVolts);
        Assert.InRange(open, current.LowestOpenCircuit.Value, current.HighestOpenCircuit.Value);
        Assert.True(open / world.Rectifier.SourceOhms <= current.CeilingAmperes.Value);
    }

    private static string Ask(Pump pump, SimulatedDevice device, string query) =>
        pump.Run(() =>
        {
            var answered = new TaskCompletionSource<string>();
            var text = new StringBuilder();
            device.Answer = bytes =>
            {
                text.Append(Encoding.ASCII.GetString(bytes.Span));
                if (text.ToString().EndsWith('\n'))
                {
                    answered.TrySetResult(text.ToString().Trim());
                }
            };
            device.Receive(Encoding.ASCII.GetBytes(query + "\n"));
            return answered.Task;
        });

    private static double Number(string text) => double.Parse(text, NumberStyles.Float, CultureInfo.InvariantCulture);

    private static byte[] Bytes(string file) => File.ReadAllBytes(Path.Combine(RepositoryFiles.Root, file));

    private static Bench Read(string file) =>
        BenchReader.Read(file, Bytes(file), name => new ReadOnlyMemory<byte>(Bytes("profiles/" + name))).Value!;
}
