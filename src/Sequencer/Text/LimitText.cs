using System.Collections.Immutable;

namespace LoadTest.Sequencer.Text;

/// <summary>Reads a limit: <c>± SPREAD</c> around a nominal, <c>LOWER to UPPER</c>, <c>at most</c> or <c>at least</c>.</summary>
/// <remarks><c>+/-</c> is read as ±. A bare percentage is allowed only after ±, of the nominal.</remarks>
internal static class LimitText
{
    private const string Forms = "Write `NOMINAL ± SPREAD`, `LOWER to UPPER`, `at most UPPER` or `at least LOWER`";

    /// <summary>Reads a limit.</summary>
    /// <param name="units">Units the quantity can have; empty means any.</param>
    /// <param name="bases">Bases that may stand for a bound.</param>
    /// <param name="example">How it may look.</param>
    /// <returns>Null when it was read; otherwise what was found, what is allowed and what to do.</returns>
    internal static string? Read(
        string text,
        Place place,
        ImmutableArray<Unit> units,
        ImmutableArray<BaseName> bases,
        string example,
        out Limit? limit
    )
    {
        limit = null;
        var bound = new AmountRule(units, bases, AllowsBarePercent: false, example);
        foreach (var (words, form) in new[] { ("at most ", LimitForm.AtMost), ("at least ", LimitForm.AtLeast) })
        {
            if (text.StartsWith(words, StringComparison.Ordinal))
            {
                var why = AmountText.Read(text[words.Length..].Trim(), place, bound, out var single);
                limit = why is null ? new Limit(form, single, null, text, place) : null;
                return why;
            }
        }
        var plain = text.Replace("+/-", "±", StringComparison.Ordinal);
        if (plain.Split('±') is [var nominal, var spread])
        {
            var why = ReadPlusMinus(nominal.Trim(), spread.Trim(), text, place, bound, out limit);
            return why;
        }
        return plain.Split(" to ") is [var lower, var upper]
            ? ReadRange(lower.Trim(), upper.Trim(), text, place, bound, out limit)
            : $"`{QuantityText.Short(text)}` is not a limit. {Forms}, for example `{example}`.";
    }

    private static string? ReadPlusMinus(
        string nominal,
        string spread,
        string text,
        Place place,
        AmountRule bound,
        out Limit? limit
    )
    {
        limit = null;
        if (nominal.Length == 0)
        {
            return $"`{QuantityText.Short(text)}` has no nominal before ±. {Forms}, for example `{bound.Example}`.";
        }
        if (AmountText.Read(nominal, place, bound, out var first) is { } why)
        {
            return why;
        }
        var beside = bound with
        {
            Units = UnitsOf(first, bound.Units),
            Bases = [.. bound.Bases, BaseName.Reading],
            AllowsBarePercent = true,
        };
        if (AmountText.Read(spread, place, beside, out var second) is { } trouble)
        {
            return trouble;
        }
        if (!(second.Value > 0))
        {
            return $"`{QuantityText.Short(text)}` has a spread of {spread}; it must be above zero, or nothing could ever pass.";
        }
        if (second is { Unit: Unit.Fraction, Of: null } && first is { Of: null, Value: 0 })
        {
            return $"`{QuantityText.Short(text)}` takes a percentage of zero. Give the spread as a quantity, or a percentage of a named value.";
        }
        limit = new Limit(LimitForm.PlusMinus, first, second, text, place);
        return null;
    }

    private static string? ReadRange(
        string lower,
        string upper,
        string text,
        Place place,
        AmountRule bound,
        out Limit? limit
    )
    {
        limit = null;
        if (AmountText.Read(lower, place, bound, out var first) is { } why)
        {
            return NumberText.LengthAtStart(lower) == lower.Length && lower.Length > 0
                ? $"`{QuantityText.Short(text)}` gives a unit on one side only. Write it on both, for example `62 V to 80 V`."
                : why;
        }
        var beside = bound with { Units = UnitsOf(first, bound.Units) };
        if (AmountText.Read(upper, place, beside, out var second) is { } trouble)
        {
            return trouble;
        }
        if (first.Of == second.Of && !(first.Value < second.Value))
        {
            return $"`{QuantityText.Short(text)}` has its lower bound at or above its upper one. Write the smaller first.";
        }
        limit = new Limit(LimitForm.Range, first, second, text, place);
        return null;
    }

    // The second amount takes the unit of the first; a base of several units leaves the choice open.
    private static ImmutableArray<Unit> UnitsOf(Amount first, ImmutableArray<Unit> allowed)
    {
        var own = first.Of is { } name ? BaseText.Units(name) : [first.Unit];
        var both = allowed.Length == 0 ? own : [.. own.Where(u => allowed.Contains(u))];
        return both.Length == 0 ? allowed : both;
    }
}
