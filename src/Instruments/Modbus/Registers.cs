using System.Buffers.Binary;
using LoadTest.Analysis;
using LoadTest.Sequencer.Benches;

namespace LoadTest.Instruments.Modbus;

/// <summary>Numbers in registers: 16 or 32 bits, signed or not, some bits of one, single precision, any word and byte order, scaled.</summary>
internal static class Registers
{
    /// <summary>How many registers a form takes.</summary>
    public static int Width(RegisterForm form) =>
        form is RegisterForm.Unsigned32 or RegisterForm.Signed32 or RegisterForm.Float32 ? 2 : 1;

    /// <summary>The function that reads a table.</summary>
    public static byte ReadFunction(RegisterTable table) =>
        table switch
        {
            RegisterTable.Coil => Pdu.ReadCoils,
            RegisterTable.DiscreteInput => Pdu.ReadDiscreteInputs,
            RegisterTable.HoldingRegister => Pdu.ReadHoldingRegisters,
            _ => Pdu.ReadInputRegisters,
        };

    /// <summary>Whether a table holds bits rather than registers.</summary>
    public static bool HoldsBits(RegisterTable table) => table is RegisterTable.Coil or RegisterTable.DiscreteInput;

    /// <summary>The number in registers as they came, scaled; a bit in a register is its lowest.</summary>
    /// <remarks>
    /// 449A 5000 read as a single with the high word first is 1234.5; so is 5000 449A with the low word first, 9A44 0050 with
    /// the low byte of each register first, and 0050 9A44 with both.
    /// </remarks>
    public static double Decode(RegisterText register, ReadOnlySpan<byte> bytes) =>
        register.Scale
        * register.Form switch
        {
            // The first arm is a double on purpose: otherwise the common type is the single, and 32-bit numbers lose digits.
            RegisterForm.Bit => (double)(Word(register, bytes) & 1),
            RegisterForm.Unsigned16 => Field(register, Word(register, bytes)),
            RegisterForm.Signed16 => unchecked((short)Word(register, bytes)),
            RegisterForm.Unsigned32 => Field(register, Word32(register, bytes)),
            RegisterForm.Signed32 => unchecked((int)Word32(register, bytes)),
            _ => BitConverter.UInt32BitsToSingle(Word32(register, bytes)),
        };

    /// <summary>The registers that hold a value, for writing; of a field of bits the rest is 0.</summary>
    /// <exception cref="ArgumentOutOfRangeException">The value does not fit the form after scaling.</exception>
    public static ushort[] Encode(RegisterText register, double value)
    {
        var raw = value / register.Scale;
        if (register.Form == RegisterForm.Float32)
            return Split(register, BitConverter.SingleToUInt32Bits((float)raw));
        var (least, most) = register.Form switch
        {
            _ when register.Bits is { } bits => (0d, (1UL << bits.Count) - 1),
            RegisterForm.Bit => (0d, 1d),
            RegisterForm.Unsigned16 => (0d, ushort.MaxValue),
            RegisterForm.Signed16 => (short.MinValue, short.MaxValue),
            RegisterForm.Unsigned32 => (0d, uint.MaxValue),
            _ => (int.MinValue, int.MaxValue),
        };
        var whole = Math.Round(raw);
        if (!(whole >= least && whole <= most))
            throw new ArgumentOutOfRangeException(
                nameof(value),
                value,
                $"Register {register.Address} holds {Figures.Of(least * register.Scale, 9)} to {Figures.Of(most * register.Scale, 9)}."
            );
        var raised = unchecked((uint)((long)whole << (register.Bits?.First ?? 0)));
        return Width(register.Form) == 2 ? Split(register, raised) : [Ordered(register, (ushort)(raised & 0xFFFF))];
    }

    private static double Field(RegisterText register, uint whole) =>
        register.Bits is { } bits ? bits.Of(whole) : whole;

    private static ushort Word(RegisterText register, ReadOnlySpan<byte> bytes) =>
        Ordered(register, BinaryPrimitives.ReadUInt16BigEndian(bytes));

    private static uint Word32(RegisterText register, ReadOnlySpan<byte> bytes)
    {
        uint first = Word(register, bytes);
        uint second = Word(register, bytes[2..]);
        return register.IsLowWordFirst ? second << 16 | first : first << 16 | second;
    }

    private static ushort[] Split(RegisterText register, uint bits)
    {
        var high = Ordered(register, (ushort)(bits >> 16));
        var low = Ordered(register, (ushort)(bits & 0xFFFF));
        return register.IsLowWordFirst ? [low, high] : [high, low];
    }

    private static ushort Ordered(RegisterText register, ushort word) =>
        register.IsLowByteFirst ? BinaryPrimitives.ReverseEndianness(word) : word;
}
