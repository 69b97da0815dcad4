using LoadTest.Analysis.Quantities;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Text;

namespace LoadTest.InstrumentsTests.Bench;

/// <summary>Definitions and benches for what a test does not care about; all of it invented.</summary>
internal static class Some
{
    public static readonly DateTimeOffset Start = new(2026, 11, 25, 9, 0, 0, TimeSpan.Zero);
    public static readonly TimeSpan Deadline = TimeSpan.FromMilliseconds(200);
    public static readonly TimeSpan TurnAround = TimeSpan.FromMilliseconds(4);
    public const byte Unit = 17;

    public static Place Place => new("some.yaml", 1, 1);

    public static AccuracySpecification Specification => new(1e-4, 1e-5, 0, 0, 18, 28, TimeSpan.Zero);

    public static RegisterText Register(
        int address,
        RegisterForm form = RegisterForm.Unsigned16,
        bool isLowWordFirst = false
    ) => new(RegisterTable.InputRegister, address, form, isLowWordFirst, 1);

    public static RegisterText Bit(int address) =>
        new(RegisterTable.DiscreteInput, address, RegisterForm.Bit, false, 1);

    public static InputDefinition Input(string name, RegisterText register) =>
        new(name, Sequencer.Text.Unit.One, TimeSpan.Zero, 1000, 1, Specification, register, null, Place);

    public static InputDefinition Input(string name, InputCommands commands) =>
        new(
            name,
            Sequencer.Text.Unit.Volt,
            TimeSpan.FromMilliseconds(20),
            100,
            1e-4,
            Specification,
            null,
            commands,
            Place
        );

    public static InstrumentDefinition Modbus(
        Protocol protocol,
        BankSwitching? switching,
        params InputDefinition[] inputs
    ) =>
        new(
            "some instrument",
            protocol,
            Deadline,
            protocol == Protocol.ModbusRtu ? TurnAround : TimeSpan.Zero,
            Some.Unit,
            new IdentityCheck.KnownRegister(Register(500), 500, Register(501)),
            [.. inputs],
            switching,
            Place
        );

    public static BankSwitching Switching(RegisterText? watchdog = null) =>
        new(
            FirstElementCoil: 0,
            ElementCount: 8,
            FirstContact: 0,
            FanCoil: 8,
            AirFlow: Bit(8),
            OverTemperature: Bit(9),
            StopInput: Bit(10),
            TimeSpan.FromMilliseconds(40),
            TimeSpan.FromMilliseconds(40),
            watchdog,
            10
        );

    public static BenchInstrument Instrument(string id, InstrumentDefinition definition, string? serialNumber = null) =>
        new(id, "some.yaml", definition, new LineText.Simulated(id), serialNumber, null, Place);

    public static Sequencer.Benches.Bank Bank(int elements = 8) =>
        new(
            "bank",
            [
                .. Enumerable.Repeat(
                    new BankElement(
                        new Ohms(1),
                        0.05,
                        new Volts(80),
                        new Volts(100),
                        TimeSpan.FromSeconds(1),
                        0,
                        Place
                    ),
                    elements
                ),
            ],
            new Amperes(100),
            new Volts(100),
            new Watts(10000),
            TimeSpan.FromMinutes(3),
            Place
        );

    public static LoadRemoval Removal(params Sequencer.Ports.ILoad[] loads) => new("run-1", loads, null);

    public static RemovalCause Cause => new("STOP", "a person stopped the run");
}
