using LoadTest.Analysis;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Instruments.Modbus;

/// <summary>A number kept in holding registers: written once, then read back and compared.</summary>
/// <remarks>A field of bits in one register is written by function 22, which leaves the other bits alone; it must not energise.</remarks>
internal sealed class RegisterSetting(ModbusClient client, RegisterText register)
{
    private readonly ReadPlan _plan = new([
        register is { Table: RegisterTable.HoldingRegister } and not { Bits: not null, Form: RegisterForm.Unsigned32 }
            ? register
            : throw new ArgumentException(
                $"Register {register.Address} cannot be set: only holding registers can, and of two of them only both whole.",
                nameof(register)
            ),
    ]);

    /// <summary>Writes the value and proves that it stands; the value and what is read back agree to one part in a million.</summary>
    /// <param name="value">The value, scaled.</param>
    /// <param name="named">What messages call the setting.</param>
    /// <param name="unit">Unit of the value, for messages.</param>
    /// <param name="cancel">Gives up waiting.</param>
    public async Task<CommandResult> SetAsync(double value, string named, string unit, CancellationToken cancel)
    {
        var written = await client.WriteAsync(ModbusRequest.Write(Pdu(value)), null, cancel);
        if (written.Outcome != CommandOutcome.Ok)
            return written.Result;
        var read = await _plan.ReadAsync(client, cancel);
        if (read.Outcome != CommandOutcome.Ok)
            return read.Result;
        var found = _plan.Value(0);
        return Math.Abs(found - value) <= 1e-6 * Math.Abs(value)
            ? CommandResult.Ok
            : CommandResult.Failed(
                $"{client.Exchange.Name}: {named} was set to {Figures.Of(value, 9)} {unit} and reads back {Figures.Of(found, 9)} {unit}. "
                    + "Check its register and the range it allows."
            );
    }

    private byte[] Pdu(double value)
    {
        var words = Registers.Encode(register, value);
        if (words.Length > 1)
            return Modbus.Pdu.WriteRegisters(register.Address, words);
        if (register.Bits is not { } bits)
            return Modbus.Pdu.WriteRegister(register.Address, words[0]);
        var field = register with { Scale = 1 };
        var kept = 0xFFFF ^ Registers.Encode(field, (1u << bits.Count) - 1)[0];
        return Modbus.Pdu.MaskRegister(register.Address, (ushort)kept, words[0]);
    }
}
