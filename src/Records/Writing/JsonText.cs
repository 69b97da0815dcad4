using System.Text.Json;
using LoadTest.Analysis;

namespace LoadTest.Records.Writing;

/// <summary>The few shapes a record's values take in JSON.</summary>
internal static class JsonText
{
    /// <summary>A number as text of ten digits; null when missing.</summary>
    public static void Number(this Utf8JsonWriter json, string name, double? value)
    {
        if (value is { } known && !double.IsNaN(known))
            json.WriteString(name, TenDigits.Of(known));
        else
            json.WriteNull(name);
    }

    /// <summary>Yes, no, or null: unknown.</summary>
    public static void YesNo(this Utf8JsonWriter json, string name, bool? value)
    {
        if (value is { } known)
            json.WriteBoolean(name, known);
        else
            json.WriteNull(name);
    }

    /// <summary>A time since the run was opened, seconds as text; null when missing.</summary>
    public static void Time(this Utf8JsonWriter json, string name, TimeSpan? time) =>
        json.Number(name, time?.TotalSeconds);

    /// <summary>A value with its standard uncertainty and degrees of freedom; null when missing.</summary>
    public static void Estimate(this Utf8JsonWriter json, string name, Estimate? estimate, string unit)
    {
        if (estimate is not { } e)
        {
            json.WriteNull(name);
            return;
        }
        json.WriteStartObject(name);
        json.Number("value", e.Value);
        json.WriteString("unit", unit);
        json.Number("standard uncertainty", e.StandardUncertainty);
        json.Number("degrees of freedom", e.DegreesOfFreedom);
        json.WriteEndObject();
    }

    /// <summary>Sentences in order.</summary>
    public static void Sentences(this Utf8JsonWriter json, string name, IEnumerable<string> sentences)
    {
        json.WriteStartArray(name);
        foreach (var sentence in sentences)
            json.WriteStringValue(sentence);
        json.WriteEndArray();
    }

    /// <summary>Objects in order.</summary>
    public static void Objects<T>(
        this Utf8JsonWriter json,
        string name,
        IEnumerable<T> items,
        Action<Utf8JsonWriter, T> write
    )
    {
        json.WriteStartArray(name);
        foreach (var item in items)
        {
            json.WriteStartObject();
            write(json, item);
            json.WriteEndObject();
        }
        json.WriteEndArray();
    }
}
