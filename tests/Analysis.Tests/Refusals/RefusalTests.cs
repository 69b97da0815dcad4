using System.Reflection;
using LoadTest.Analysis;

namespace LoadTest.AnalysisTests.Refusals;

/// <summary>Every public entry point, every number it takes, everything that is no number: an error in words, or no answer.</summary>
public sealed class RefusalTests
{
    private static readonly Probe[] s_probes =
    [
        .. FitProbes.All(),
        .. MeasurementProbes.All(),
        .. MachineProbes.All(),
        .. LoadProbes.All(),
    ];

    public static TheoryData<string> Entries => [.. s_probes.Select(p => p.Entry).Distinct(StringComparer.Ordinal)];

    [Theory]
    [MemberData(nameof(Entries))]
    public void Nothing_that_is_no_number_becomes_one(string entry)
    {
        var kept = new List<string>();
        foreach (var probe in s_probes.Where(p => string.Equals(p.Entry, entry, StringComparison.Ordinal)))
        {
            foreach (var poison in Poison.All(p => Assert.NotNull(probe.Call(p))))
            {
                try
                {
                    var answer = probe.Call(poison);
                    if (answer is not null && probe.CannotSay?.Invoke(answer) != true)
                    {
                        kept.Add($"{poison.Given} gave {answer}");
                    }
                }
                catch (ArgumentException refused)
                {
                    // In words: what it was, and what is allowed or what to do.
                    if (refused.Message.Length < 40 || refused.Message.Contains("Exception", StringComparison.Ordinal))
                    {
                        kept.Add($"{poison.Given} was refused with no more than: {refused.Message}");
                    }
                }
            }
        }

        Assert.True(kept.Count == 0, $"{kept.Count} of {entry}:\n{string.Join('\n', kept)}");
    }

    [Fact]
    public void Every_public_entry_point_that_takes_a_number_is_tried()
    {
        var missing = EntryPoints().Except(s_probes.Select(p => p.Entry), StringComparer.Ordinal).ToList();
        Assert.True(missing.Count == 0, $"not tried: {string.Join(", ", missing)}");
    }

    // Records that only carry numbers are checked by what computes with them; those are here.
    private static IEnumerable<string> EntryPoints() =>
        typeof(Estimate)
            .Assembly.GetExportedTypes()
            .Where(t => !t.IsEnum && !typeof(Delegate).IsAssignableFrom(t))
            .SelectMany(t =>
                t.GetMethods(
                        BindingFlags.Public | BindingFlags.Static | BindingFlags.Instance | BindingFlags.DeclaredOnly
                    )
                    .Where(m => !m.IsSpecialName && m.Name is not ("Equals" or "CompareTo"))
                    .Where(m => m.GetParameters().Any(p => TakesNumber(p.ParameterType)))
                    .Select(m => $"{t.Name}.{m.Name}")
            )
            .Distinct(StringComparer.Ordinal);

    private static bool TakesNumber(Type type)
    {
        type = Nullable.GetUnderlyingType(type) ?? type;
        return type == typeof(double)
            || type == typeof(ReadOnlySpan<double>)
            || type == typeof(Estimate)
            || (type.IsGenericType && type.GetGenericArguments().Any(TakesNumber))
            || (type.IsArray && TakesNumber(type.GetElementType()!))
            || (type.IsValueType && !type.IsPrimitive && type.Namespace == "LoadTest.Analysis.Quantities");
    }
}
