using System.Collections.Immutable;
using System.Globalization;
using LoadTest.Analysis;
using LoadTest.Instruments.Modbus;
using LoadTest.Probing;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Planning;

namespace LoadTest.Commands;

/// <summary>Looks for the register that holds a known value, and shows how it would have to be written in a definition.</summary>
/// <param name="screen">Where it is shown.</param>
/// <param name="known">The value.</param>
/// <param name="near">Address the manual gives.</param>
/// <param name="within">How far off it may be, as a share.</param>
internal sealed class MapOrder(Screen screen, double known, int near, double within)
{
    private const int Aside = 32;
    private const int MostShown = 12;

    /// <summary>Reads, finds, shows.</summary>
    public ExitCode CarryOut(ProbeStand stand, Pump pump)
    {
        var one = stand.Instruments[0];
        if (one.Line is null)
            throw new CommandEnded(ExitCode.Refused, one.Trouble);
        var (first, last) = (Math.Max(0, near - Aside), Math.Min(65535, near + Aside));
        var words = pump.Run(() =>
            RegisterSurvey.ReadAsync(one.Instrument, one.Line, pump, first, last, CancellationToken.None)
        );
        screen.Line(
            Invariantly($"{words.Count} registers answered between addresses {first} and {last}, counted from 0.")
        );
        var found = RegisterSurvey.Find(words, known, within);
        var table = new TextTable(
            Invariantly($"Ways to read {Figures.Of(known, 9)} within {Figures.Of(within * 100, 3)} %"),
            [
                new("table", false),
                new("address from 0", true),
                new("address from 1", true),
                new("form", false),
                new("word order", false),
                new("byte order", false),
                new("scale", true),
                new("reads", true),
            ],
            [.. found.Take(MostShown).Select(Row)]
        );
        screen.Document["found"] = Screen.Rows(table);
        screen.Document["registers"] = words.Count;
        if (found.IsEmpty)
        {
            screen.Trouble(
                words.Count == 0
                    ? $"{one.Id}: no register answered. Check unit identifier, line and protocol first; --trace shows the bytes."
                    : Invariantly(
                        $"{one.Id}: nothing there reads {Figures.Of(known, 9)} within {Figures.Of(within * 100, 3)} %. Widen --within, give another --near, or choose a value that stands still."
                    )
            );
            return ExitCode.NotPassed;
        }
        screen.Table(table);
        screen.Line(
            found.Length == 1
                ? "One way fits. Write it into the definition, then let `probe` compare a second value."
                : Invariantly(
                    $"{found.Length} ways fit{(found.Length > MostShown ? Invariantly($", the best {MostShown} shown") : "")}. Let the value change and look again: the right one follows it."
                )
        );
        return ExitCode.Pass;
    }

    private static ImmutableArray<string> Row(RegisterGuess guess)
    {
        var register = guess.Register;
        var isWide = register.Form is RegisterForm.Float32 or RegisterForm.Unsigned32 or RegisterForm.Signed32;
        return
        [
            register.TableWords,
            register.Address.ToString(CultureInfo.InvariantCulture),
            (register.Address + 1).ToString(CultureInfo.InvariantCulture),
            register.Form switch
            {
                RegisterForm.Float32 => "float 32",
                RegisterForm.Unsigned32 => "unsigned 32",
                RegisterForm.Signed32 => "signed 32",
                RegisterForm.Signed16 => "signed 16",
                _ => "unsigned 16",
            },
            !isWide ? ""
            : register.IsLowWordFirst ? "low word first"
            : "high word first",
            register.IsLowByteFirst ? "low byte first" : "high byte first",
            Invariantly($"{Figures.Of(register.Scale, 4)}"),
            Invariantly($"{Figures.Of(guess.Value, 9)}"),
        ];
    }

    private static string Invariantly(FormattableString text) => FormattableString.Invariant(text);
}
