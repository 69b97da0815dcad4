using System.Text.Json;
using LoadTest.Analysis.Loads;

namespace LoadTest.Records.Journaling;

/// <summary>Writes the values that entries are made of; <see cref="EntryFields"/> reads each of them again.</summary>
internal static class EntryJson
{
    /// <summary>The words of an enum's member.</summary>
    public static void WriteWord<T>(this Utf8JsonWriter json, string name, T value)
        where T : struct, Enum => json.WriteString(name, EnumWords<T>.Of(value));

    /// <summary>The same as an item.</summary>
    public static void WriteWordValue<T>(this Utf8JsonWriter json, T value)
        where T : struct, Enum => json.WriteStringValue(EnumWords<T>.Of(value));

    /// <summary>A time in nanoseconds, or null.</summary>
    /// <exception cref="ArgumentException">It lies before the opening or more than ten years after it.</exception>
    public static void WriteTime(this Utf8JsonWriter json, string name, TimeSpan? time)
    {
        if (time is { } known)
            json.WriteNumber(name, Nanoseconds(known));
        else
            json.WriteNull(name);
    }

    /// <summary>A time as an item.</summary>
    /// <exception cref="ArgumentException">It lies before the opening or more than ten years after it.</exception>
    public static void WriteTimeValue(this Utf8JsonWriter json, TimeSpan time) =>
        json.WriteNumberValue(Nanoseconds(time));

    /// <summary>A finite number, or null.</summary>
    /// <exception cref="ArgumentException">It is no reading.</exception>
    public static void WriteReal(this Utf8JsonWriter json, string name, double? value)
    {
        if (value is { } known)
            json.WriteNumber(name, Real(known));
        else
            json.WriteNull(name);
    }

    /// <summary>True, false or null.</summary>
    public static void WriteYesNo(this Utf8JsonWriter json, string name, bool? value)
    {
        if (value is { } known)
            json.WriteBoolean(name, known);
        else
            json.WriteNull(name);
    }

    /// <summary>A set of elements, or null.</summary>
    public static void WriteElements(this Utf8JsonWriter json, string name, ElementSet? elements)
    {
        if (elements is { } known)
            json.WriteNumber(name, known.Mask);
        else
            json.WriteNull(name);
    }

    /// <summary>A SHA-256, 64 lower-case hexadecimal digits.</summary>
    /// <exception cref="ArgumentException">It is none.</exception>
    public static void WriteHash(this Utf8JsonWriter json, string name, string hash)
    {
        if (!IsHash(hash))
            throw new ArgumentException($"\"{hash}\" is no SHA-256 in lower-case hexadecimal.", nameof(hash));
        json.WriteString(name, hash);
    }

    /// <summary>Whether a text is a SHA-256 as it is written here.</summary>
    public static bool IsHash(string text) =>
        text.Length == 2 * JournalFormat.HashLength && text.All(char.IsAsciiHexDigitLower);

    /// <summary>A number that may be written.</summary>
    /// <exception cref="ArgumentException">It is no reading.</exception>
    public static double Real(double value) =>
        Math.Abs(value) < JournalFormat.LeastOverload
            ? value
            : throw new ArgumentException(
                $"{value} is no reading; what is missing or overloaded is flagged and has no value.",
                nameof(value)
            );

    /// <summary>A time that may be written, in nanoseconds.</summary>
    /// <exception cref="ArgumentException">It lies before the opening or more than ten years after it.</exception>
    public static long Nanoseconds(TimeSpan time) =>
        time.Ticks is >= 0 and <= JournalFormat.LatestNanoseconds / JournalFormat.NanosecondsPerTick
            ? time.Ticks * JournalFormat.NanosecondsPerTick
            : throw new ArgumentException(
                $"{time} lies before the opening of the run or more than ten years after it.",
                nameof(time)
            );
}
