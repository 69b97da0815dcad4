using System.Text;
using LoadTest.Instruments.Line;
using LoadTest.Instruments.Scpi;
using LoadTest.InstrumentsTests.Bench;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;
using LoadTest.Simulator;
using LoadTest.Simulator.Parameters;

namespace LoadTest.InstrumentsTests.Scpi;

/// <summary>Status byte and event register of the simulated meter, which has codecs of its own. Bits by IEEE 488.2, 11.2 and 11.5.1.</summary>
public sealed class StatusByteTests
{
    private const uint ErrorQueue = 1 << 2;
    private const uint CommandError = 1 << 5;

    [Fact]
    public void Wrong_command_sets_the_error_bits_and_an_emptied_queue_clears_its_own()
    {
        var pump = Pump.Virtual(Some.Start);
        using var bench = SimulatedBench.Create(WorldFile.Demo(), pump, 1);
        var device = bench.Devices.Single(d => d.Name == "dmm-1");
        var line = new MemoryLine("dmm-1", isHalfDuplex: false, pump) { ToDevice = device.Receive };
        device.Answer = line.Deliver;
        device.Connected();
        var session = new ScpiSession(
            new Exchange(line, pump, ScpiSession.Rules(TimeSpan.Zero, Some.Deadline)),
            Some.Deadline,
            pump
        );
        pump.Run(async () =>
        {
            var cancel = TestContext.Current.CancellationToken;
            async Task<uint> Status()
            {
                var (result, register) = await session.StatusByteAsync(cancel);
                Assert.Equal(CommandOutcome.Ok, result.Outcome);
                return register;
            }

            Assert.Equal(0u, await Status() & ErrorQueue);
            device.Receive(Encoding.ASCII.GetBytes("NO:SUCH:COMMAND\n"));
            Assert.NotEqual(0u, await Status() & ErrorQueue);
            var (read, events) = await session.EventsAsync(cancel);
            Assert.Equal(CommandOutcome.Ok, read.Outcome);
            Assert.NotEqual(0u, events & CommandError);
            Assert.Contains("command error", StatusBits.EventWords(events), StringComparison.Ordinal);
            device.Receive("*CLS\n"u8);
            Assert.Equal(0u, await Status() & ErrorQueue);
            var (again, emptied) = await session.EventsAsync(cancel);
            Assert.Equal((CommandOutcome.Ok, 0u), (again.Outcome, emptied));
        });
    }
}
