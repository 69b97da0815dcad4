using System.Globalization;
using System.Text;
using CsCheck;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.SequencerTests;

/// <summary>Any bytes at all: an answer, never a crash, never unbounded work.</summary>
public sealed class TextRobustnessTests
{
    private static readonly string[] Files = [.. Tree.Shipped()];

    [Fact]
    public void Mutated_bytes_of_sound_files_are_read_or_refused_and_never_crash() =>
        Gen.Select(Gen.Int[0, Files.Length - 1], Gen.Int[0, 1 << 20], Gen.Byte, Gen.Int[0, 3])
            .Sample(
                (file, at, with, how) =>
                {
                    var bytes = Mutated(Tree.Bytes(Files[file]), at, with, how);
                    var check = AnyFile.Check(Files[file], bytes, Tree.Definition);
                    Assert.All(check.Findings, f => Assert.True(f.Place.Line >= 0 && f.Message.Length > 0));
                },
                iter: 3000,
                seed: "0000filesAB1",
                threads: 1
            );

    [Fact]
    public void Random_bytes_are_refused() =>
        Gen
            .Byte.Array[0, 400]
            .Sample(
                bytes => Assert.False(AnyFile.Check("f", bytes, Tree.Definition).IsSound),
                iter: 3000,
                seed: "0000filesAB2",
                threads: 1
            );

    [Fact]
    public void Random_text_of_the_languages_own_marks_is_refused() =>
        Gen.OneOf([
                .. new[]
                {
                    "- ",
                    ": ",
                    "\n",
                    "  ",
                    "[",
                    "]",
                    "{",
                    "}",
                    ",",
                    "a",
                    "&a ",
                    "*a",
                    "!t ",
                    "|",
                    ">",
                    "'",
                    "\"",
                    "#",
                    "? ",
                    "---\n",
                    "...\n",
                    "%",
                    "<<",
                    "\\",
                }.Select(Gen.Const),
            ])
            .Array[0, 80]
            .Sample(
                parts =>
                    Assert.False(
                        AnyFile.Check("f", Encoding.UTF8.GetBytes(string.Concat(parts)), Tree.Definition).IsSound
                    ),
                iter: 20000,
                seed: "0000filesAB3",
                threads: 1
            );

    [Fact]
    public void A_quantity_reads_as_the_decimal_that_was_written() =>
        Gen.Select(Gen.Int[-9999, 9999], Gen.Int[0, 6])
            .Sample(
                (mantissa, places) =>
                {
                    var value = mantissa / (decimal)Math.Pow(10, places);
                    Assert.Null(QuantityText.Read($"{value} mV", out var read));
                    Assert.Equal((double)(value / 1000), read.Value, 1e-15);
                },
                iter: 2000,
                seed: "0000filesAB4",
                threads: 1
            );

    [Fact]
    public void A_quantity_with_characters_changed_is_refused_or_read_as_exact_decimal_arithmetic_reads_it() =>
        Gen.Select(
                Gen.OneOf([
                    .. new[] { "250 A", "50 mV", "0.125 V", "1e-3 s", "10 min", "-20.5 mA", "1200 W" }.Select(
                        Gen.Const
                    ),
                ]),
                Gen.Select(
                    Gen.Int[0, 8],
                    Gen.Int[0, 2],
                    Gen.OneOf([.. " ,.'_0123456789eE+-:%mkVAMs\u00A0\u2212".Select(Gen.Const)])
                ).Array[1, 3]
            )
            .Sample(
                (text, changes) =>
                {
                    foreach (var (at, how, with) in changes)
                    {
                        var i = at % (text.Length + 1);
                        text =
                            how == 0 && i < text.Length ? text[..i] + with + text[(i + 1)..]
                            : how == 1 && i < text.Length ? text.Remove(i, 1)
                            : text.Insert(i, with.ToString());
                    }
                    if (QuantityText.Read(text, out var read) is null)
                    {
                        var exact = ByDecimals(text);
                        // Minutes are multiplied after the one rounding: two units in the last place at most.
                        Assert.Equal(exact, read.Value, Math.Abs(exact) * 4.5e-16);
                    }
                },
                iter: 30000,
                seed: "0000filesAB5",
                threads: 1
            );

    // A reading of our own words by other means: exact decimals, and a division or multiplication in them.
    private static double ByDecimals(string text)
    {
        var unit = text.Length;
        while (unit > 0 && (char.IsAsciiLetter(text[unit - 1]) || text[unit - 1] == '%'))
        {
            unit--;
        }
        var number = text[..unit].Trim(' ', '\u00A0').Replace('\u2212', '-');
        var scale = text[unit..] switch
        {
            "nV" or "nA" or "nW" => 0.000_000_001m,
            "mV" or "mA" or "mW" or "ms" => 0.001m,
            "kV" or "kA" or "kW" or "km" => 1000m,
            "MV" or "MA" or "MW" => 1_000_000m,
            "min" => 60m,
            "%" => 0.01m,
            "V" or "A" or "W" or "s" or "m" => 1m,
            var other => throw new InvalidOperationException($"`{other}` of `{text}` was accepted as a unit."),
        };
        return (double)(decimal.Parse(number, NumberStyles.Float, CultureInfo.InvariantCulture) * scale);
    }

    public static TheoryData<string, string> Bombs =>
        new()
        {
            { "nested lists", new string('[', 200_000) },
            { "nested maps", string.Concat(Enumerable.Repeat("{a: ", 60_000)) },
            { "nested dashes", string.Concat(Enumerable.Repeat("- ", 120_000)) },
            { "nested blocks", string.Concat(Enumerable.Range(0, 700).Select(i => new string(' ', i) + "a:\n")) },
            { "question marks", string.Concat(Enumerable.Repeat("? ", 120_000)) },
            { "aliases", "a: &a [x, x, x]\nb: &b [*a, *a, *a]\nc: &c [*b, *b, *b]\n" },
            { "quotes", new string('"', 200_000) },
            { "one long key", new string('k', 200_000) + ": 1" },
            { "one long line", "a: " + new string('x', 250_000) },
            { "many keys", string.Concat(Enumerable.Range(0, 20_000).Select(i => $"k{i}: 1\n")) },
            {
                "many unknown keys",
                "profile: x\n" + string.Concat(Enumerable.Range(0, 20_000).Select(i => $"k{i}: 1\n"))
            },
            {
                "many wrong steps",
                "profile: x\nsteps:\n" + string.Concat(Enumerable.Range(0, 30_000).Select(i => $"- s{i}\n"))
            },
            { "many tabs", new string('\t', 250_000) },
            { "many colons", new string(':', 250_000) },
            { "open quote", "a: 'b\n" + new string('c', 200_000) },
            { "100 MB", new string(' ', 100_000_000) },
        };

    [Theory]
    [MemberData(nameof(Bombs), DisableDiscoveryEnumeration = true)]
    public void A_file_made_to_explode_is_refused_within_bounded_memory(string name, string text)
    {
        var bytes = Encoding.UTF8.GetBytes(text);
        AnyFile.Check("warm", "a: [1]"u8.ToArray(), Tree.Definition);
        var before = GC.GetAllocatedBytesForCurrentThread();
        var check = AnyFile.Check(name, bytes, Tree.Definition);
        var allocated = GC.GetAllocatedBytesForCurrentThread() - before;
        Assert.False(check.IsSound);
        Assert.InRange(check.Findings.Length, 1, FindingList.Most + 1);
        Assert.True(allocated < 50_000_000, $"{name}: {allocated} bytes allocated");
    }

    [Fact]
    public void A_byte_order_mark_and_windows_line_ends_change_nothing()
    {
        var text = Encoding.UTF8.GetString(Tree.Bytes("profiles/short-check.yaml"));
        byte[] windows = [0xEF, 0xBB, 0xBF, .. Encoding.UTF8.GetBytes(text.ReplaceLineEndings("\r\n"))];
        var plain = ProfileReader.Read("p", Encoding.UTF8.GetBytes(text)).Value!;
        var other = ProfileReader.Read("p", windows).Value!;
        Assert.Equal(plain.Steps.Select(s => s.Place), other.Steps.Select(s => s.Place));
        Assert.Equal(plain.Trips, other.Trips);
    }

    private static byte[] Mutated(byte[] bytes, int at, byte with, int how)
    {
        var i = at % bytes.Length;
        switch (how)
        {
            case 0:
                bytes[i] = with;
                return bytes;
            case 1:
                return [.. bytes[..i], with, .. bytes[i..]];
            case 2:
                return [.. bytes[..i], .. bytes[Math.Min(i + 1 + (with % 40), bytes.Length)..]];
            default:
                return [.. bytes[..i], .. bytes[Math.Max(0, i - (with % 80))..i], .. bytes[i..]];
        }
    }
}
