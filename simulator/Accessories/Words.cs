namespace LoadTest.Simulator.Accessories;

/// <summary>Numbers put into registers.</summary>
internal static class Words
{
    /// <summary>A 32-bit value, high word first.</summary>
    public static void PutHighFirst(Span<ushort> registers, int at, uint value) =>
        (registers[at], registers[at + 1]) = ((ushort)(value >> 16), (ushort)(value & 0xFFFF));

    /// <summary>A 32-bit value, low word first.</summary>
    public static void PutLowFirst(Span<ushort> registers, int at, uint value) =>
        (registers[at], registers[at + 1]) = ((ushort)(value & 0xFFFF), (ushort)(value >> 16));

    /// <summary>A single, low word first.</summary>
    public static void PutSwapped(Span<ushort> registers, int at, double value) =>
        PutLowFirst(registers, at, BitConverter.SingleToUInt32Bits((float)value));

    /// <summary>A whole number of steps, held at the ends of 16 bits.</summary>
    public static ushort Steps(double value, double step) =>
        (ushort)Math.Clamp(Math.Round(value / step), 0, ushort.MaxValue);
}
