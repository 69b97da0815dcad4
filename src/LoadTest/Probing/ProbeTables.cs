using System.Collections.Immutable;
using System.Globalization;
using LoadTest.Instruments.Devices;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;

namespace LoadTest.Probing;

/// <summary>What a look found, as tables.</summary>
internal static class ProbeTables
{
    /// <summary>Each instrument, its line, who it is, and how its link is.</summary>
    public static TextTable Links(IReadOnlyList<ProbeResult> results, long now, TimeProvider time) =>
        new(
            "Lines",
            [
                new("instrument", false),
                new("line", false),
                new("protocol", false),
                new("says", false),
                new("age", true),
                new("round trip", true),
                new("longest", true),
                new("sent", true),
                new("lost", true),
                new("bad", true),
                new("stray", true),
            ],
            [.. results.Select(r => Link(r, now, time))]
        );

    /// <summary>Every input and what it reads.</summary>
    public static TextTable Readings(IReadOnlyList<ProbeResult> results, Bench bench, long now, TimeProvider time) =>
        new(
            "Readings, as the instruments stand now",
            [
                new("instrument", false),
                new("input", false),
                new("channel", false),
                new("reading", true),
                new("age", true),
            ],
            [
                .. results.SelectMany(r =>
                    r.Readings.Select(
                        (reading, k) =>
                        {
                            var input = r.Probed.Instrument.Definition.Inputs[k];
                            return ImmutableArray.Create(
                                r.Probed.Id,
                                input.Name,
                                string.Join(
                                    ", ",
                                    bench
                                        .Channels.Where(c => c.InstrumentId == r.Probed.Id && c.Input == input.Name)
                                        .Select(c => c.Name)
                                ),
                                Reading(reading, input),
                                reading.Flag == IndicationFlag.Missing
                                    ? ""
                                    : Milliseconds(time.GetElapsedTime(reading.Timestamp, now))
                            );
                        }
                    )
                ),
            ]
        );

    /// <summary>Settings, flags, relays, setters.</summary>
    public static TextTable Settings(IReadOnlyList<ProbeResult> results) =>
        new(
            "Settings, error flags, relays",
            [
                new("instrument", false),
                new("what", false),
                new("found", false),
                new("expected", false),
                new("state", false),
            ],
            [
                .. results.SelectMany(r =>
                    r.Inspected.Select(i =>
                        ImmutableArray.Create(r.Probed.Id, i.What, i.Found, i.Expected, Word(i.State))
                    )
                ),
            ]
        );

    /// <summary>Elements and protection of every bank.</summary>
    public static TextTable Elements(IReadOnlyList<ProbeResult> results) =>
        new(
            "Elements",
            [
                new("instrument", false),
                new("commanded", false),
                new("closed", false),
                new("air flow", false),
                new("over-temperature", false),
                new("stop circuit", false),
                new("state", false),
            ],
            [
                .. results
                    .Where(r => r.States is not null)
                    .Select(r =>
                    {
                        var s = r.States!.Value;
                        return s.Outcome == CommandOutcome.Ok
                            ? ImmutableArray.Create(
                                r.Probed.Id,
                                s.Commanded.IsEmpty ? "none" : s.Commanded.ToString(),
                                s.Contacts.IsEmpty ? "none" : s.Contacts.ToString(),
                                Word(s.HasAirFlow, "yes", "no"),
                                Word(s.IsOverTemperature, "TOO HOT", "no"),
                                Word(s.IsStopHealthy, "healthy", "PRESSED"),
                                r.IsProvedOff ? "all off" : "ON"
                            )
                            : ImmutableArray.Create(r.Probed.Id, "?", "?", "?", "?", "?", "NOT PROVED OFF");
                    }),
            ]
        );

    private static ImmutableArray<string> Link(ProbeResult r, long now, TimeProvider time)
    {
        var (line, link) = (r.Probed.Line, r.Probed.Connected?.Link);
        string Count(long? n) => n?.ToString(CultureInfo.InvariantCulture) ?? "";
        return
        [
            r.Probed.Id,
            r.Probed.Address,
            Word(r.Probed.Instrument.Definition.Protocol),
            r.IsIdentified ? r.Identity!.Said
            : r.Probed.Trouble.Length > 0 ? "NO LINE"
            : r.Identity is null ? "not asked"
            : "NOT IDENTIFIED",
            line?.LastByte is { } last ? Milliseconds(time.GetElapsedTime(last, now)) : "",
            line?.RoundTrip is { } trip ? Milliseconds(trip) : "",
            line?.RoundTrip is null ? "" : Milliseconds(line.LongestRoundTrip),
            Count(link?.Sent),
            Count(link?.Timeouts),
            Count(link?.BadFrames),
            Count(link?.Discarded),
        ];
    }

    private static string Reading(Indication reading, InputDefinition input) =>
        reading.Flag switch
        {
            IndicationFlag.Good => UnitText.Show(
                (Math.Round(reading.Value / input.Resolution) * input.Resolution) + 0.0,
                input.Unit
            ),
            IndicationFlag.Overload => "OVERLOAD",
            IndicationFlag.NotANumber => "NOT A NUMBER",
            _ => "MISSING",
        };

    private static string Milliseconds(TimeSpan span) =>
        string.Create(CultureInfo.InvariantCulture, $"{span.TotalMilliseconds:0.0} ms");

    private static string Word(Protocol protocol) =>
        protocol switch
        {
            Protocol.ModbusRtu => "modbus rtu",
            Protocol.ModbusTcp => "modbus tcp",
            Protocol.ModbusAscii => "modbus ascii",
            Protocol.Scpi => "scpi",
            Protocol.Text => "text",
            _ => "by hand",
        };

    private static string Word(InspectedState state) =>
        state switch
        {
            InspectedState.AsExpected => "as expected",
            InspectedState.SetAtTheGate => "set at the gate",
            InspectedState.Wrong => "WRONG",
            _ => "UNREAD",
        };

    private static string Word(bool? state, string yes, string no) =>
        state switch
        {
            true => yes,
            false => no,
            _ => "cannot tell",
        };
}
