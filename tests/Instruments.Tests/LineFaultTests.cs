using LoadTest.Instruments;
using LoadTest.InstrumentsTests.Bench;
using LoadTest.Sequencer.Ports;
using LoadTest.Simulator.Faults;

namespace LoadTest.InstrumentsTests;

/// <summary>What the wire does to replies, by the simulator's own faults, against the adapters of the shipped definition files.</summary>
public sealed class LineFaultTests
{
    /// <summary>More than any frame here is long, so that each place is cut at least once.</summary>
    private const int Cuts = 40;

    public static TheoryData<string, string, string> Lines =>
        new()
        {
            { "modbus-rtu", "bank-1", "volts" },
            { "modbus-tcp", "bank-1", "volts" },
            { "modbus-rtu", "dmm-1", "volts" },
        };

    [Theory]
    [MemberData(nameof(Lines))]
    public void Reply_cut_at_every_place_is_read_as_if_it_were_whole(string protocol, string device, string input) =>
        SimulatedRig.OnBench(
            protocol,
            async (rig, _) =>
            {
                var (meter, link) = await ConfiguredAsync(rig, device);
                rig.Bench.Inject(new Fault("split-reply", device, Value: 3, Count: 0));
                for (var k = 0; k < Cuts; k++)
                    Assert.Equal(IndicationFlag.Good, await ReadAsync(meter, input));
                Assert.Equal(0, link.BadFrames + link.Timeouts + link.Discarded);
            }
        );

    [Theory]
    [MemberData(nameof(Lines))]
    public void Reply_cut_at_every_place_whose_rest_is_too_late_ends_at_the_deadline(
        string protocol,
        string device,
        string input
    ) =>
        SimulatedRig.OnBench(
            protocol,
            async (rig, pump) =>
            {
                var (meter, link) = await ConfiguredAsync(rig, device);
                var deadline = Deadline(rig, device);
                for (var k = 0; k < Cuts; k++)
                {
                    rig.Bench.Inject(new Fault("split-reply", device, Value: 1.5 * deadline.TotalMilliseconds));
                    var before = link.Timeouts;
                    var reading = (await meter.ReadAsync([input], CancellationToken.None))[0];
                    Assert.Equal(IndicationFlag.Missing, reading.Flag);
                    Assert.Equal(before + 1, link.Timeouts);
                    Assert.Equal(pump.GetTimestamp(), reading.Timestamp);
                    // What was cut off comes, is thrown away, and the next reading is right again.
                    await Task.Delay(3 * deadline, pump, CancellationToken.None);
                    Assert.Equal(IndicationFlag.Good, await ReadAsync(meter, input));
                }
            }
        );

    /// <summary>A byte per 0.8 × deadline: each comes within the deadline of the one before, and the whole ends at the frame's.</summary>
    [Theory]
    [MemberData(nameof(Lines))]
    public void Reply_that_drips_ends_at_the_deadline_of_the_whole_frame(
        string protocol,
        string device,
        string input
    ) =>
        SimulatedRig.OnBench(
            protocol,
            async (rig, pump) =>
            {
                var (meter, _) = await ConfiguredAsync(rig, device);
                var deadline = Deadline(rig, device);
                await Task.Delay(deadline, pump, CancellationToken.None);
                rig.Bench.Inject(new Fault("drip-reply", device, Value: 0.8 * deadline.TotalMilliseconds));
                var start = pump.GetTimestamp();
                var reading = (await meter.ReadAsync([input], CancellationToken.None))[0];
                Assert.Equal(IndicationFlag.Missing, reading.Flag);
                Assert.Equal(deadline, pump.GetElapsedTime(start));
            }
        );

    [Theory]
    [InlineData("modbus-rtu")]
    [InlineData("modbus-tcp")]
    public void Wire_unplugged_is_missing_and_back_is_identified_and_read(string protocol) =>
        SimulatedRig.OnBench(
            protocol,
            async (rig, pump) =>
            {
                var (meter, link) = await ConfiguredAsync(rig, "bank-1");
                rig.Bench.Inject(new Fault("unplugged", "bank-1", Value: 2));
                Assert.Equal(IndicationFlag.Missing, await ReadAsync(meter, "volts"));
                await Task.Delay(TimeSpan.FromSeconds(2.1), pump, CancellationToken.None);
                Assert.Equal(IndicationFlag.Good, await ReadAsync(meter, "volts"));
                Assert.Equal(1, link.Returns);
            }
        );

    [Theory]
    [InlineData("modbus-rtu", "wrong-unit")]
    [InlineData("modbus-tcp", "wrong-unit")]
    [InlineData("modbus-tcp", "wrong-transaction")]
    public void Answer_that_is_anothers_is_counted_and_not_taken(string protocol, string fault) =>
        SimulatedRig.OnBench(
            protocol,
            async (rig, _) =>
            {
                var (meter, link) = await ConfiguredAsync(rig, "bank-1");
                rig.Bench.Inject(new Fault(fault, "bank-1"));
                Assert.Equal(IndicationFlag.Missing, await ReadAsync(meter, "volts"));
                Assert.True(link.Discarded + link.BadFrames > 0, "nothing was counted");
            }
        );

    private static async Task<(IMeter Meter, LoadTest.Instruments.Line.LinkCounters Link)> ConfiguredAsync(
        SimulatedRig rig,
        string device
    )
    {
        ConnectedInstrument connected = rig.Instruments.Single(i => i.Instrument.Id == device).Connected;
        Assert.Equal(CommandResult.Ok, (await connected.Meter.IdentifyAsync(CancellationToken.None)).Result);
        Assert.Equal(CommandResult.Ok, await connected.Meter.ConfigureAsync(CancellationToken.None));
        return (connected.Meter, connected.Link);
    }

    private static TimeSpan Deadline(SimulatedRig rig, string device) =>
        rig.Instruments.Single(i => i.Instrument.Id == device).Instrument.Definition.Deadline;

    private static async Task<IndicationFlag> ReadAsync(IMeter meter, string input) =>
        (await meter.ReadAsync([input], CancellationToken.None))[0].Flag;
}
