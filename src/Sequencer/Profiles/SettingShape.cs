using System.Collections.Immutable;
using LoadTest.Sequencer.Text;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Profiles;

/// <summary>Settings of the control as amounts.</summary>
internal static class SettingShape
{
    /// <summary>What a setting may be.</summary>
    internal static readonly AmountRule Rule = new(
        [Unit.Ampere, Unit.Volt],
        [BaseName.RatedCurrent, BaseName.RatedVoltage, BaseName.MaximumSetting],
        AllowsBarePercent: false,
        "100 % of rated current"
    );

    /// <summary>One setting.</summary>
    internal static readonly AmountShape Setting = new(Rule, isPositive: true);

    /// <summary>The key <c>of</c>, which says what bare percentages of <c>at</c> are of.</summary>
    internal static Key<BaseName> OfKey() =>
        Key.Optional(
            "of",
            new WordShape<BaseName>([.. Rule.Bases.Select(b => (BaseText.Word(b), b))]),
            "What the bare percentages of `at` are of."
        );

    /// <summary>A list of settings in which a percentage may be bare.</summary>
    internal static ListShape<Amount> List() =>
        new(
            new AmountShape(Rule with { AllowsBarePercent = true, Example = "25 %" }, isPositive: true),
            1,
            40,
            "[25 %, 50 %, 100 %]"
        );

    /// <summary>Adds what is wrong between <c>at</c> and <c>of</c>.</summary>
    internal static void Check(Fields f, Key<ImmutableArray<Amount>> at, Key<BaseName> of)
    {
        if (!f.TryGet(at, out var settings))
        {
            if (f.Has(of) && !f.Has(at))
            {
                f.Findings.Error(f.PlaceOf(of), "`of` stands without `at`. Add the settings, or delete it.");
            }
            return;
        }
        var bare = settings.Where(IsBare).ToList();
        if (bare.Count > 0 && !f.Has(of))
        {
            f.Findings.Error(
                bare[0].Place,
                "`at` has a bare percentage and nothing says of what. Add for example `of: rated current`."
            );
        }
        if (bare.Count == 0 && f.Has(of))
        {
            f.Findings.Error(f.PlaceOf(of), "`of` has no bare percentage in `at` to belong to. Delete it.");
        }
    }

    /// <summary>The settings with their base put in.</summary>
    internal static ImmutableArray<Amount> Resolved(Fields f, Key<ImmutableArray<Amount>> at, Key<BaseName> of) =>
        [.. f.Get(at, []).Select(a => IsBare(a) ? a with { Of = f.Get(of) } : a)];

    private static bool IsBare(Amount amount) => amount is { Unit: Unit.Fraction, Of: null };
}
