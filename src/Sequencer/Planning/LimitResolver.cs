using System.Collections.Immutable;
using LoadTest.Analysis;
using LoadTest.Analysis.Numerics;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Planning;

/// <summary>A point as predictions see it.</summary>
/// <param name="Setting">Setting of the control.</param>
/// <param name="Volts">Predicted volts at the studs.</param>
/// <param name="Amperes">Predicted amperes; zero when open.</param>
internal readonly record struct PredictedPoint(double Setting, double Volts, double Amperes);

/// <summary>Resolves the limits of a group and says what the meters are predicted to make of them.</summary>
internal sealed class LimitResolver(LoadProfile profile, Nameplate nameplate, ResultPrediction results)
{
    /// <summary>Ratio of tolerance to uncertainty from which nobody asks further (ANSI/NCSL Z540.3-2006, 5.3 b, from memory).</summary>
    private const double AmpleRatio = 4;

    /// <summary>The limit with percentages resolved; null with a finding when it cannot be.</summary>
    /// <param name="byHand">Predicted u of a value read by hand; null for everything the bench reads.</param>
    public ResolvedLimit? Resolve(
        Expectation expectation,
        UnitMode mode,
        IReadOnlyList<PredictedPoint> points,
        List<Finding> findings,
        Func<double, double?>? byHand = null
    )
    {
        var bounds = Bounds(expectation, mode, SingleSetting(points), findings);
        if (bounds is not var (lower, upper, isRelative, unit))
            return null;
        // A value by hand is predicted at the larger of its bounds, where the meter's share of reading is largest.
        var uncertainty = byHand is null
            ? results.Uncertainty(expectation.Measurand, mode, points, isRelative)
            : byHand(Math.Max(Math.Abs(lower ?? 0), Math.Abs(upper ?? 0)));
        var resolved = new ResolvedLimit(
            expectation.Measurand,
            lower,
            upper,
            isRelative,
            unit,
            expectation.Limit.Text,
            uncertainty,
            Ratio(lower, upper, uncertainty),
            uncertainty is { } u ? Risk(lower, upper, u) : null,
            expectation.Limit.Place
        )
        {
            Bases = OfNameplate(expectation.Limit),
            From = expectation.From,
        };
        Say(resolved, findings);
        return resolved;
    }

    private static ImmutableArray<BaseName> OfNameplate(Limit limit) =>
        [
            .. new[] { limit.First.Of, limit.Second?.Of }
                .OfType<BaseName>()
                .Where(b => b is not (BaseName.Setting or BaseName.Reading or BaseName.Commanded))
                .Distinct(),
        ];

    private (double? Lower, double? Upper, bool IsRelative, Unit Unit)? Bounds(
        Expectation expectation,
        UnitMode mode,
        double? setting,
        List<Finding> findings
    )
    {
        var limit = expectation.Limit;
        var expected = ResultPrediction.UnitOf(expectation.Measurand);
        Term? Read(Amount amount, Term? nominal)
        {
            var term = TermOf(amount, mode, setting, nominal, expected);
            if (term is null)
            {
                findings.Add(
                    new Finding(
                        amount.Place,
                        Severity.Error,
                        $"The limit \"{limit.Text}\" on {Words.For(expectation.Measurand)} cannot be worked out before the run: its amount has no value here, or is not in {Words.For(expected)}. Give it in {Words.For(expected)}, or as a percentage of the setting or of a rated value in that unit."
                    )
                );
            }
            return term;
        }

        if (Read(limit.First, null) is not { } first)
            return null;
        if (limit.Second is null)
            return limit.Form == LimitForm.AtMost
                ? (null, first.Value, first.IsRelative, first.Unit)
                : (first.Value, null, first.IsRelative, first.Unit);
        var nominal = limit.Form == LimitForm.PlusMinus ? first : (Term?)null;
        if (Read(limit.Second, nominal) is not { } second || Same(first, second) is not { } isRelative)
            return null;
        var unit = isRelative ? Unit.Fraction : first.Unit;
        return limit.Form == LimitForm.PlusMinus
            ? (first.Value - Math.Abs(second.Value), first.Value + Math.Abs(second.Value), isRelative, unit)
            : (first.Value, second.Value, isRelative, unit);
    }

    private readonly record struct Term(double Value, bool IsRelative, Unit Unit);

    private Term? TermOf(Amount amount, UnitMode mode, double? setting, Term? nominal, Unit? expected)
    {
        if (amount.Of == BaseName.Setting)
        {
            var unit = mode.Characteristic == Characteristic.ConstantVoltage ? Unit.Volt : Unit.Ampere;
            if (expected is { } wanted && wanted != unit)
                return null;
            return setting is { } one
                ? new Term(amount.Value * one, IsRelative: false, unit)
                : new Term(amount.Value, IsRelative: true, Unit.Fraction);
        }
        if (amount.Of is null && amount.Unit == Unit.Fraction && nominal is { } of)
            return of with { Value = of.Value * amount.Value };
        if (AmountResolver.Resolve(amount, nameplate, mode) is not { } quantity)
            return null;
        return expected is { } must && quantity.Unit != must ? null : new Term(quantity.Value, false, quantity.Unit);
    }

    /// <summary>Whether both terms are relative; zero goes with either; null when they do not mix.</summary>
    private static bool? Same(Term first, Term second) =>
        first.IsRelative == second.IsRelative ? first.IsRelative
        : first.Value == 0 || second.Value == 0 ? true
        : null;

    private static double? SingleSetting(IReadOnlyList<PredictedPoint> points)
    {
        var settings = points.Select(p => p.Setting).Distinct().ToArray();
        return settings.Length == 1 ? settings[0] : null;
    }

    /// <summary>Width of the tolerance over twice U at 95 %. ± 1 % with u = 0.128 %: U = 0.25 %, 4.0.</summary>
    private static double? Ratio(double? lower, double? upper, double? uncertainty) =>
        lower is { } l && upper is { } h && uncertainty is { } u && u > 0
            ? (h - l) / (2 * Normal.Quantile(0.975) * u)
            : null;

    /// <summary>Probability that the true value lies outside when the result stands just at the acceptance limit.</summary>
    /// <remarks>JCGM 106:2012, 7.2 to 7.4, normal. Guard band w = U at 95 %, wide tolerance: 2.5 %; simple acceptance: 50 %.</remarks>
    private double Risk(double? lower, double? upper, double u)
    {
        if (u <= 0)
            return 0;
        var guard = GuardBand(u);
        var risk = Normal.UpperTail(guard / u);
        return lower is { } l && upper is { } h ? Math.Min(1, risk + Normal.UpperTail((h - l - guard) / u)) : risk;
    }

    private double GuardBand(double u) =>
        profile.Decision.Form == DecisionForm.SimpleAcceptance
            ? 0
            : profile.Decision.Factor * Normal.Quantile((1 + profile.Decision.Coverage) / 2) * u;

    private void Say(ResolvedLimit limit, List<Finding> findings)
    {
        if (limit.Lower > limit.Upper)
        {
            findings.Add(
                new Finding(
                    limit.Place,
                    Severity.Error,
                    $"The limit \"{limit.Text}\" runs from {Words.Number(limit.Lower, limit.Unit)} to {Words.Number(limit.Upper, limit.Unit)}: the lower end is above the upper. Swap them."
                )
            );
            return;
        }
        if (limit is not { PredictedUncertainty: { } u, TestUncertaintyRatio: { } ratio })
            return;
        var expanded = Words.Number(Normal.Quantile(0.975) * u, limit.Unit);
        var width = Words.Number(limit.Upper - limit.Lower, limit.Unit);
        var found =
            $"{Words.For(limit.Measurand)} within \"{limit.Text}\": the tolerance is {width} wide and the meters are predicted to leave ± {expanded} (95 %), a ratio of {Stated.Ratio(ratio)}";
        if (limit.Upper - limit.Lower <= 2 * GuardBand(u))
        {
            findings.Add(
                new Finding(
                    limit.Place,
                    Severity.Warning,
                    $"{found}. With the profile's guard band no result can pass: use a meter or shunt with a smaller uncertainty at this reading, or widen the limit if the unit's papers allow it."
                )
            );
        }
        else if (ratio < AmpleRatio)
        {
            findings.Add(
                new Finding(
                    limit.Place,
                    Severity.Note,
                    $"{found}; 4:1 is usual. Results near a limit will be undecided: a better meter, a lower range or a certificate with smaller U would help."
                )
            );
        }
    }
}
