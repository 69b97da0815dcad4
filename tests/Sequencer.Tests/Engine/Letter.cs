using System.Collections;
using System.Globalization;
using System.Reflection;
using System.Text;

namespace LoadTest.SequencerTests.Engine;

/// <summary>A value with everything in it, private parts included, written out; equal text is equal to the letter.</summary>
internal static class Letter
{
    public static string Of(object? value)
    {
        var text = new StringBuilder();
        Write(text, value, 0);
        return text.ToString();
    }

    private static void Write(StringBuilder text, object? value, int depth)
    {
        Assert.True(depth < 30, "A value that holds itself cannot be written out.");
        switch (value)
        {
            case null:
                text.Append("null");
                break;
            case string or bool or Enum:
                text.Append(value);
                break;
            case IFormattable number
                when value.GetType().IsPrimitive || value is TimeSpan or DateTimeOffset or DateOnly:
                text.Append(number.ToString(value is double ? "R" : null, CultureInfo.InvariantCulture));
                break;
            case IEnumerable items:
                text.Append('[');
                foreach (var item in items)
                {
                    Write(text, item, depth + 1);
                    text.Append(';');
                }
                text.Append(']');
                break;
            default:
                WriteFields(text, value, depth);
                break;
        }
    }

    private static void WriteFields(StringBuilder text, object value, int depth)
    {
        text.Append(value.GetType().Name).Append('{');
        for (var type = value.GetType(); type is not null && type != typeof(object); type = type.BaseType)
        {
            foreach (
                var field in type.GetFields(
                    BindingFlags.Instance | BindingFlags.Public | BindingFlags.NonPublic | BindingFlags.DeclaredOnly
                )
            )
            {
                text.Append(field.Name).Append('=');
                Write(text, field.GetValue(value), depth + 1);
                text.Append(',');
            }
        }
        text.Append('}');
    }
}
