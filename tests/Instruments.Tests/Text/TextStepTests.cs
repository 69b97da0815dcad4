using CsCheck;
using LoadTest.Instruments;
using LoadTest.Instruments.Line;
using LoadTest.InstrumentsTests.Bench;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;
using LoadTest.Simulator.Faults;
using LoadTest.Simulator.Parameters;

namespace LoadTest.InstrumentsTests.Text;

/// <summary>Lost, late, damaged and doubled answers on text protocols: with and without a step check, with and without echo.</summary>
public sealed class TextStepTests
{
    private static readonly Gen<(string Name, int At, int Ms)[]> Mishaps = Gen.Select(
        Gen.OneOf(
            Gen.Const("drop-reply"),
            Gen.Const("late-reply"),
            Gen.Const("corrupt-reply"),
            Gen.Const("duplicate-reply")
        ),
        Gen.Int[0, 12],
        Gen.Int[1, 900]
    ).Array[1, 12];

    /// <remarks>The inputs of a cold bank at rest differ: 0 V, 0 A and some 23 °C. A shifted answer would show.</remarks>
    [Fact]
    public void Value_of_a_bank_is_never_another_inputs() =>
        Hold(
            "element-bank-text.yaml",
            "bank-1",
            ["volts", "outlet temperature"],
            (input, value) => input == "volts" ? Math.Abs(value) < 2 : value is > 10 and < 40
        );

    /// <remarks>The panel meter has no step check; its known value is 5, its reading at rest 0.</remarks>
    [Fact]
    public void Value_of_a_meter_that_hears_itself_is_never_the_known_value() =>
        Hold("panel-meter-text.yaml", "panel-1", ["volts"], (_, value) => Math.Abs(value) < 2);

    [Fact]
    public void After_the_mishaps_the_instrument_is_read_again() =>
        Mishaps.Sample(
            mishaps =>
                OnRig(
                    async (rig, pump) =>
                    {
                        var connected = rig.Connect("element-bank-text.yaml", "bank-1");
                        foreach (var (name, _, ms) in mishaps)
                        {
                            rig.Bench.Inject(new Fault(name, "bank-1", Value: name == "late-reply" ? ms : null));
                            await connected.Meter.ReadAsync(["volts"], CancellationToken.None);
                        }
                        rig.Bench.ClearFaults();
                        var flag = IndicationFlag.Missing;
                        for (var k = 0; k < 12 && flag != IndicationFlag.Good; k++)
                            flag = (await connected.Meter.ReadAsync(["volts"], CancellationToken.None))[0].Flag;
                        Assert.Equal(IndicationFlag.Good, flag);
                    }
                ),
            iter: 100
        );

    [Theory]
    [InlineData(MayRepeat.DamagedReads, IndicationFlag.Good)]
    [InlineData(MayRepeat.Nothing, IndicationFlag.Missing)]
    public void Damaged_answer_is_asked_for_again_only_where_the_definition_says_so(
        MayRepeat mayRepeat,
        IndicationFlag flag
    ) =>
        OnRig(
            async (rig, pump) =>
            {
                var instrument = EveryKindRig.Instrument("element-bank-text.yaml", "bank-1", null);
                var definition = instrument.Definition with { MayRepeat = mayRepeat };
                var device = rig.Bench.Devices.Single(d => d.Name == "bank-1");
                var line = new MemoryLine("bank-1", definition.IsHalfDuplex, pump) { ToDevice = device.Receive };
                device.Answer = line.Deliver;
                var meter = InstrumentFactory
                    .Create(instrument with { Definition = definition }, null, line, pump)
                    .Meter;
                rig.Bench.Inject(new Fault("corrupt-reply", "bank-1"));
                Assert.Equal(flag, (await meter.ReadAsync(["volts"], CancellationToken.None))[0].Flag);
            }
        );

    private static void Hold(string file, string device, string[] inputs, Func<string, double, bool> isRight) =>
        Mishaps.Sample(
            mishaps =>
                OnRig(
                    async (rig, _) =>
                    {
                        var meter = rig.Connect(file, device).Meter;
                        var next = 0;
                        for (var k = 0; k < 60; k++)
                        {
                            while (next < mishaps.Length && mishaps[next].At + next * 4 <= k)
                            {
                                var (name, _, ms) = mishaps[next++];
                                rig.Bench.Inject(new Fault(name, device, Value: name == "late-reply" ? ms : null));
                            }
                            var input = inputs[k % inputs.Length];
                            var reading = (await meter.ReadAsync([input], CancellationToken.None))[0];
                            if (k % 10 == 9)
                                await meter.IdentifyAsync(CancellationToken.None);
                            if (reading.Flag == IndicationFlag.Good)
                                Assert.True(isRight(input, reading.Value), $"{input} read {reading.Value}");
                        }
                    }
                ),
            iter: 100
        );

    private static void OnRig(Func<EveryKindRig, Pump, Task> body)
    {
        var pump = Pump.Virtual(Some.Start);
        using var rig = new EveryKindRig(WorldFile.EveryKind(), pump);
        pump.Run(() => body(rig, pump));
    }
}
