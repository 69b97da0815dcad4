using System.Collections.Frozen;
using System.Text.Json;

namespace LoadTest.Records.Journaling;

/// <summary>Members of an enum as words in files: <c>OffNotConfirmed</c> is written <c>off not confirmed</c>.</summary>
/// <typeparam name="T">The enum; renaming a member changes the file format, and a golden test says so.</typeparam>
internal static class EnumWords<T>
    where T : struct, Enum
{
    private static readonly FrozenDictionary<T, JsonEncodedText> s_words = Enum.GetValues<T>()
        .ToFrozenDictionary(v => v, v => JsonEncodedText.Encode(Split(v.ToString())));

    private static readonly FrozenDictionary<string, T> s_values = Enum.GetValues<T>()
        .ToFrozenDictionary(v => Split(v.ToString()), v => v, StringComparer.Ordinal);

    /// <summary>The words of a member.</summary>
    /// <exception cref="ArgumentException">The value is not a member.</exception>
    public static JsonEncodedText Of(T value) =>
        s_words.TryGetValue(value, out var words)
            ? words
            : throw new ArgumentException($"{typeof(T).Name} has no member {value}.", nameof(value));

    /// <summary>The member written with these words.</summary>
    /// <exception cref="FormatException">No member is.</exception>
    public static T Parse(string words) =>
        s_values.TryGetValue(words, out var value)
            ? value
            : throw new FormatException(
                $"\"{words}\" is not one of {string.Join(", ", s_values.Keys.Order(StringComparer.Ordinal))}"
            );

    private static string Split(string name) =>
        string.Concat(
            name.Select(
                (c, i) => i > 0 && char.IsUpper(c) ? $" {char.ToLowerInvariant(c)}" : $"{char.ToLowerInvariant(c)}"
            )
        );
}
