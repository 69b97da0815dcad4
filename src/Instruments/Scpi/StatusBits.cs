using System.Collections.Immutable;

namespace LoadTest.Instruments.Scpi;

/// <summary>What the bits of status byte and event register say.</summary>
/// <remarks>IEEE 488.2, 11.2 and 11.5.1; bit 2, 3 and 7 of the status byte by SCPI-99 volume 1, 20 (from memory).</remarks>
internal static class StatusBits
{
    /// <summary>Events that mean a command was not carried out: query, device, execution and command error.</summary>
    public const uint ErrorEvents = 0b0011_1100;

    /// <summary>Event: the instrument was switched on, so its settings are the usual ones.</summary>
    public const uint PowerOn = 0b1000_0000;

    private static readonly ImmutableArray<string> Events =
    [
        "operation complete",
        "request control",
        "query error",
        "device-dependent error",
        "execution error",
        "command error",
        "user request",
        "power on",
    ];

    private static readonly ImmutableArray<string> Summaries =
    [
        "bit 0 of its maker",
        "bit 1 of its maker",
        "error queue not empty",
        "questionable data",
        "message available",
        "standard event",
        "requests service",
        "operation status",
    ];

    /// <summary>Events of the standard event register, in words; <c>48</c> is: execution error, command error.</summary>
    public static string EventWords(uint register) => Words(register, Events);

    /// <summary>Summaries of the status byte, in words.</summary>
    public static string SummaryWords(uint register) => Words(register, Summaries);

    private static string Words(uint register, ImmutableArray<string> names)
    {
        var set = Enumerable.Range(0, names.Length).Where(k => (register >> k & 1) != 0).Select(k => names[k]);
        var words = string.Join(", ", set);
        return words.Length == 0 ? "nothing" : words;
    }
}
