using System.Collections.Immutable;
using System.Globalization;
using System.Text.Json;

namespace LoadTest.Records.Verifying;

/// <summary>Compares two records value by value: both must say the same things, and agree in them.</summary>
/// <remarks>
/// Numbers written as decimal text agree within 1 part in 10⁸, so that a machine with other last digits still agrees. Words
/// and counts must be equal.
/// </remarks>
internal static class ValueComparison
{
    private const double Agreement = 1e-8;
    private const int Most = 5;

    /// <summary>The first few differences, each with its path and both values; none when the records agree.</summary>
    public static ImmutableArray<string> Of(JsonElement stored, JsonElement drawn)
    {
        var differences = new List<string>();
        Compare("", stored, drawn, differences);
        return [.. differences.Take(Most)];
    }

    private static void Compare(string path, JsonElement stored, JsonElement drawn, List<string> differences)
    {
        if (differences.Count >= Most)
            return;
        if (stored.ValueKind != drawn.ValueKind)
            differences.Add(Differ(path, stored, drawn));
        else if (stored.ValueKind == JsonValueKind.Object)
            Properties(path, stored, drawn, differences);
        else if (stored.ValueKind == JsonValueKind.Array)
            Items(path, stored, drawn, differences);
        else if (!Agree(stored, drawn))
            differences.Add(Differ(path, stored, drawn));
    }

    private static void Properties(string path, JsonElement stored, JsonElement drawn, List<string> differences)
    {
        foreach (var property in stored.EnumerateObject())
        {
            if (drawn.TryGetProperty(property.Name, out var other))
                Compare($"{path}/{property.Name}", property.Value, other, differences);
            else
                differences.Add($"{path}/{property.Name} stands in the record only");
        }
        foreach (var property in drawn.EnumerateObject())
        {
            if (!stored.TryGetProperty(property.Name, out _))
                differences.Add($"{path}/{property.Name} is missing in the record");
        }
    }

    private static void Items(string path, JsonElement stored, JsonElement drawn, List<string> differences)
    {
        if (stored.GetArrayLength() != drawn.GetArrayLength())
        {
            differences.Add(
                $"{path} has {stored.GetArrayLength()} items in the record and {drawn.GetArrayLength()} by the journal"
            );
            return;
        }
        for (var i = 0; i < stored.GetArrayLength(); i++)
            Compare($"{path}/{i}", stored[i], drawn[i], differences);
    }

    private static bool Agree(JsonElement stored, JsonElement drawn) =>
        stored.GetRawText() == drawn.GetRawText()
        || (
            stored.ValueKind == JsonValueKind.String
            && Number(stored) is { } a
            && Number(drawn) is { } b
            && Math.Abs(a - b) <= Agreement * Math.Max(Math.Abs(a), Math.Abs(b))
        );

    private static double? Number(JsonElement text) =>
        double.TryParse(text.GetString(), NumberStyles.Float, CultureInfo.InvariantCulture, out var value)
            ? value
            : null;

    private static string Differ(string path, JsonElement stored, JsonElement drawn) =>
        $"{path} is {Short(stored)} in the record and {Short(drawn)} by the journal";

    private static string Short(JsonElement value)
    {
        const int Longest = 60;
        var text = value.GetRawText();
        return text.Length <= Longest ? text : text[..Longest] + "…";
    }
}
