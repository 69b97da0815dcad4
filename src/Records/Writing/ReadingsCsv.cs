using System.Globalization;
using System.Text;
using LoadTest.Records.Journaling;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;

namespace LoadTest.Records.Writing;

/// <summary>Every raw reading of a journal as comma-separated values, for a spreadsheet.</summary>
/// <remarks>
/// RFC 4180: CR LF after each line, text with commas, quotes or line ends in quotes. A text cell that a spreadsheet would take for a
/// formula gets an apostrophe in front; numbers stay numbers, the negative ones too.
/// </remarks>
public static class ReadingsCsv
{
    private const string FormulaStarts = "=+-@\t\r\n";

    /// <summary>The bytes, UTF-8 with a byte order mark, because spreadsheets guess otherwise.</summary>
    /// <param name="record">Names and units of the channels; without a plan the channels are numbered.</param>
    /// <param name="entries">Entries of the same journal.</param>
    public static byte[] Write(RunRecord record, IReadOnlyList<JournalEntry> entries)
    {
        ArgumentNullException.ThrowIfNull(record);
        ArgumentNullException.ThrowIfNull(entries);
        var text = new StringBuilder("time in s,channel,unit,value,worth\r\n");
        foreach (var reading in entries.OfType<Scanned>().SelectMany(s => s.Readings))
        {
            text.Append(CultureInfo.InvariantCulture, $"{reading.At.TotalSeconds:F6},");
            text.Append(Text(Channel(record, reading.Channel))).Append(',');
            text.Append(Text(Unit(record, reading.Channel))).Append(',');
            if (reading.Flag == IndicationFlag.Good)
                text.Append(CultureInfo.InvariantCulture, $"{reading.Value:R}");
            text.Append(',').Append(EnumWords<IndicationFlag>.Of(reading.Flag).Value).Append("\r\n");
        }
        return [.. Encoding.UTF8.GetPreamble(), .. Encoding.UTF8.GetBytes(text.ToString())];
    }

    /// <summary>A text cell that no spreadsheet takes for a formula.</summary>
    internal static string Text(string text)
    {
        text = VisibleText.Of(text);
        var safe = text.Length > 0 && FormulaStarts.Contains(text[0], StringComparison.Ordinal) ? "'" + text : text;
        return safe.AsSpan().IndexOfAny(",\"\r\n") < 0
            ? safe
            : $"\"{safe.Replace("\"", "\"\"", StringComparison.Ordinal)}\"";
    }

    private static string Channel(RunRecord record, int index) =>
        record.Plan is { } plan && index < plan.Bench.Channels.Length
            ? plan.Bench.Channels[index].Name
            : $"channel {index + 1}";

    private static string Unit(RunRecord record, int index)
    {
        if (record.Plan is not { } plan || index >= plan.Bench.Channels.Length)
            return "";
        var channel = plan.Bench.Channels[index];
        return ResultWords.Symbol(plan.Bench.Instrument(channel.InstrumentId).Definition.Input(channel.Input).Unit);
    }
}
