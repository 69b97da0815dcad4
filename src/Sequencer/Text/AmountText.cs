using System.Collections.Immutable;

namespace LoadTest.Sequencer.Text;

/// <summary>What an amount may be at the place where it stands.</summary>
/// <param name="Units">Units allowed; empty means any.</param>
/// <param name="Bases">Bases a percentage may name, or that may stand alone.</param>
/// <param name="AllowsBarePercent">Whether a percentage may stand without a base, because its base is said beside it.</param>
/// <param name="Example">How it may look.</param>
internal sealed record AmountRule(
    ImmutableArray<Unit> Units,
    ImmutableArray<BaseName> Bases,
    bool AllowsBarePercent,
    string Example
);

/// <summary>Reads an amount: a quantity, <c>NUMBER % of NAME</c>, or a NAME alone.</summary>
internal static class AmountText
{
    /// <summary>Reads an amount.</summary>
    /// <returns>Null when it was read; otherwise what was found, what is allowed and what to do.</returns>
    internal static string? Read(string text, Place place, AmountRule rule, out Amount amount)
    {
        amount = new Amount(0, Unit.One, null, place);
        if (NumberText.LengthAtStart(text) == 0)
        {
            return ReadBase(text, rule, out var alone) ?? Take(new Amount(1, Unit.Fraction, alone, place), out amount);
        }
        var of = text.IndexOf(" of ", StringComparison.Ordinal);
        var number = of < 0 ? text : text[..of].TrimEnd();
        if (QuantityText.Read(number, out var quantity, rule.Example) is { } why)
        {
            return why;
        }
        if (of >= 0)
        {
            return quantity.Unit != Unit.Fraction
                ? $"`{QuantityText.Short(text)}` puts `of` after a quantity; it belongs after a percentage. Write for example `{rule.Example}`."
                : ReadBase(text[(of + 4)..].Trim(), rule, out var name)
                    ?? Take(new Amount(quantity.Value, Unit.Fraction, name, place), out amount);
        }
        if (quantity.Unit == Unit.Fraction && !rule.Units.Contains(Unit.Fraction))
        {
            return rule.AllowsBarePercent
                ? Take(new Amount(quantity.Value, Unit.Fraction, null, place), out amount)
                : $"`{QuantityText.Short(text)}` does not say of what. {OfAdvice(text, rule)}";
        }
        if (rule.Units.Length > 0 && !rule.Units.Contains(quantity.Unit))
        {
            return $"`{QuantityText.Short(text)}` is in {UnitText.Usual(quantity.Unit)}; allowed here: {Allowed(rule)}. Write for example `{rule.Example}`.";
        }
        return Take(new Amount(quantity.Value, quantity.Unit, null, place), out amount);
    }

    private static string? Take(Amount read, out Amount amount)
    {
        amount = read;
        return null;
    }

    private static string? ReadBase(string word, AmountRule rule, out BaseName name)
    {
        name = default;
        var known = BaseText.All.Where(b => rule.Bases.Contains(b.Base)).ToList();
        foreach (var (known1, value) in known)
        {
            if (known1 == word)
            {
                name = value;
                return null;
            }
        }
        if (known.Count == 0)
        {
            return $"`{QuantityText.Short(word)}` stands where a number and its unit belong. Write for example `{rule.Example}`.";
        }
        var isBase = BaseText.All.Any(b => b.Word == word);
        return isBase
            ? $"`{word}` cannot be used here. Known here: {string.Join(", ", known.Select(b => b.Word))}."
            : $"`{QuantityText.Short(word)}` is neither a number with a unit nor a known name. {NearestWord.Advice(word, [.. known.Select(b => b.Word)])}";
    }

    private static string OfAdvice(string text, AmountRule rule) =>
        rule.Bases.Length > 0
            ? $"Write for example `{QuantityText.Short(text)} of {BaseText.Word(rule.Bases[0])}`."
            : $"Write for example `{rule.Example}`.";

    private static string Allowed(AmountRule rule) => string.Join(", ", rule.Units.Select(UnitText.Usual));
}
