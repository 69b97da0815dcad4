using System.Buffers.Binary;
using System.Collections.Immutable;
using LoadTest.Instruments.Line;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Instruments.Modbus;

/// <summary>A way to read registers that gives the value wanted.</summary>
/// <param name="Register">Table, address counted from 0, form, word order, byte order, scale.</param>
/// <param name="Value">What it gives.</param>
/// <param name="Error">How far that is from the value wanted, as a share of it.</param>
public sealed record RegisterGuess(RegisterText Register, double Value, double Error);

/// <summary>Reads registers one by one and finds out where a known value stands, and in which form.</summary>
public static class RegisterSurvey
{
    private static readonly RegisterForm[] Narrow = [RegisterForm.Unsigned16, RegisterForm.Signed16];
    private static readonly RegisterForm[] Wide =
    [
        RegisterForm.Float32,
        RegisterForm.Unsigned32,
        RegisterForm.Signed32,
    ];
    private static readonly double[] Scales = [1, 0.1, 0.01, 0.001, 1e-4, 10, 100, 1000];

    /// <summary>Reads input and holding registers, each on its own: one that is not there hides no neighbour.</summary>
    /// <param name="instrument">The instrument; its definition gives protocol and unit identifier.</param>
    /// <param name="line">The line; its callbacks are taken over.</param>
    /// <param name="time">The pump.</param>
    /// <param name="first">First address, counted from 0.</param>
    /// <param name="last">Last address.</param>
    /// <param name="cancel">Gives up.</param>
    /// <returns>What stands where; registers that are refused or silent are left out.</returns>
    public static async Task<ImmutableSortedDictionary<(RegisterTable Table, int Address), ushort>> ReadAsync(
        BenchInstrument instrument,
        ILine line,
        TimeProvider time,
        int first,
        int last,
        CancellationToken cancel
    )
    {
        var (client, _) = InstrumentFactory.ModbusClient(instrument, line, time);
        var words = ImmutableSortedDictionary.CreateBuilder<(RegisterTable, int), ushort>();
        foreach (var table in new[] { RegisterTable.InputRegister, RegisterTable.HoldingRegister })
        {
            for (var address = first; address <= last && !cancel.IsCancellationRequested; address++)
            {
                // Whole values are not known yet: no answer can be told from a late one, so each question may leave in doubt.
                var plan = new ReadPlan(
                    [new RegisterText(table, address, RegisterForm.Unsigned16, false, 1)],
                    isProbe: true
                );
                var reply = await plan.ReadAsync(client, cancel);
                if (reply.Outcome == CommandOutcome.Ok)
                    words[(table, address)] = (ushort)plan.Value(0);
            }
        }
        return words.ToImmutable();
    }

    /// <summary>Every way to read these registers that gives the value, best first.</summary>
    /// <param name="words">What stands where.</param>
    /// <param name="wanted">The value, in its unit; not 0.</param>
    /// <param name="within">How far off it may be, as a share of it.</param>
    /// <remarks>
    /// 449A 5000 hex at 2 and 3, wanted 1234.5: float 32, high word first, at 2. Whole numbers are tried with powers of ten. A
    /// way that fits better comes first; of equals, the plainest: no scale, the specification's byte order, the lower address.
    /// </remarks>
    public static ImmutableArray<RegisterGuess> Find(
        IReadOnlyDictionary<(RegisterTable Table, int Address), ushort> words,
        double wanted,
        double within
    )
    {
        ArgumentNullException.ThrowIfNull(words);
        if (!(Math.Abs(wanted) > 0) || !double.IsFinite(wanted))
            throw new ArgumentOutOfRangeException(nameof(wanted), wanted, "0 stands in every unused register.");
        var found = new List<RegisterGuess>();
        Span<byte> bytes = stackalloc byte[4];
        foreach (var ((table, address), word) in words)
        {
            BinaryPrimitives.WriteUInt16BigEndian(bytes, word);
            Try(found, bytes, Ways(table, address, Narrow, isWide: false), wanted, within);
            if (!words.TryGetValue((table, address + 1), out var next))
                continue;
            BinaryPrimitives.WriteUInt16BigEndian(bytes[2..], next);
            Try(found, bytes, Ways(table, address, Wide, isWide: true), wanted, within);
        }
        return
        [
            .. found
                .OrderBy(g => Math.Round(g.Error, 6))
                .ThenBy(g => g.Register.Scale == 1 ? 0 : 1)
                .ThenBy(g => g.Register.IsLowByteFirst)
                .ThenBy(g => g.Register.Address),
        ];
    }

    private static IEnumerable<RegisterText> Ways(
        RegisterTable table,
        int address,
        RegisterForm[] forms,
        bool isWide
    ) =>
        from form in forms
        from isLowWordFirst in isWide ? [false, true] : new[] { false }
        from isLowByteFirst in new[] { false, true }
        from scale in form == RegisterForm.Float32 ? [1d] : Scales
        select new RegisterText(table, address, form, isLowWordFirst, scale) { IsLowByteFirst = isLowByteFirst };

    private static void Try(
        List<RegisterGuess> found,
        ReadOnlySpan<byte> bytes,
        IEnumerable<RegisterText> ways,
        double wanted,
        double within
    )
    {
        foreach (var way in ways)
        {
            var value = Registers.Decode(way, bytes);
            var error = Math.Abs(value - wanted) / Math.Abs(wanted);
            // A signed form that gives what the unsigned gives says nothing more.
            var isTwice = way.Form is RegisterForm.Signed16 or RegisterForm.Signed32 && value >= 0;
            if (error <= within && !isTwice)
                found.Add(new RegisterGuess(way, value, error));
        }
    }
}
