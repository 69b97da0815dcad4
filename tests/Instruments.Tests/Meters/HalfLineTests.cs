using LoadTest.InstrumentsTests.Bench;
using LoadTest.Sequencer.Ports;

namespace LoadTest.InstrumentsTests.Meters;

/// <summary>What an earlier start left half said at an instrument.</summary>
public sealed class HalfLineTests
{
    [Fact]
    public void Half_a_line_left_at_a_meter_spoils_the_first_question_and_no_later_one() =>
        SimulatedRig.OnBench(
            "modbus-rtu",
            async (rig, _) =>
            {
                rig.Bench.Devices.Single(d => d.Name == "dmm-1").Receive("READ?\v"u8);
                var meter = rig.Instruments.Single(i => i.Instrument.Id == "dmm-1").Connected.Meter;
                var first = await meter.IdentifyAsync(CancellationToken.None);
                var second = await meter.IdentifyAsync(CancellationToken.None);
                Assert.Equal(
                    (CommandOutcome.Unknown, CommandOutcome.Ok),
                    (first.Result.Outcome, second.Result.Outcome)
                );
            }
        );
}
