using System.Globalization;
using System.Text.RegularExpressions;

namespace LoadTest.AnalysisTests.Regression;

/// <summary>One NIST StRD file: data, starts and certified values as printed.</summary>
internal sealed partial class CertifiedSet
{
    private CertifiedSet(string name, string[] lines)
    {
        Name = name;
        var last = Array.FindLastIndex(lines, l => l.StartsWith("Data:", StringComparison.Ordinal));
        var header = lines[..last];
        foreach (var line in header)
        {
            Read(line);
        }

        Rows = lines[(last + 1)..]
            .Where(l => NumberRow().IsMatch(l))
            .Select(Numbers)
            .Where(r => r.Length > 0)
            .ToArray();
    }

    public string Name { get; }

    public List<double> Estimates { get; } = [];

    public List<double> StandardDeviations { get; } = [];

    public List<double> FirstStart { get; } = [];

    public List<double> SecondStart { get; } = [];

    public double ResidualStandardDeviation { get; private set; }

    public double ResidualSquares { get; private set; }

    public double Mean { get; private set; }

    public double SampleDeviation { get; private set; }

    public double LagOne { get; private set; }

    public double[][] Rows { get; }

    public double[] Y => Column(0);

    public double[] X => Column(1);

    public double[] Column(int index) => Rows.Select(r => r[index]).ToArray();

    public static CertifiedSet Read(string name, string? folder = null)
    {
        var path = Path.Combine(folder ?? Path.Combine(AppContext.BaseDirectory, "nist-strd"), name + ".dat");
        return new CertifiedSet(name, File.ReadAllLines(path));
    }

    private void Read(string line)
    {
        if (LinearRow().IsMatch(line) || NonlinearRow().IsMatch(line))
        {
            var numbers = Numbers(line[(line.IndexOfAny(['=', ' '], line.IndexOfAny(['b', 'B'])) + 1)..]);
            Estimates.Add(numbers[^2]);
            StandardDeviations.Add(numbers[^1]);
            if (numbers.Length == 4)
            {
                FirstStart.Add(numbers[0]);
                SecondStart.Add(numbers[1]);
            }

            return;
        }

        if (
            line.Contains("Standard Deviation", StringComparison.Ordinal)
            && !line.Contains("Sample", StringComparison.Ordinal)
        )
        {
            ResidualStandardDeviation = Last(line, ResidualStandardDeviation);
        }
        else if (line.StartsWith("Residual Sum of Squares", StringComparison.Ordinal))
        {
            ResidualSquares = Last(line, ResidualSquares);
        }
        else if (line.StartsWith("Sample Mean", StringComparison.Ordinal))
        {
            Mean = Last(line, Mean);
        }
        else if (line.StartsWith("Sample Standard Deviation", StringComparison.Ordinal))
        {
            SampleDeviation = Last(line, SampleDeviation);
        }
        else if (line.StartsWith("Sample Autocorrelation", StringComparison.Ordinal))
        {
            LagOne = Last(line, LagOne);
        }
    }

    private static double Last(string line, double otherwise)
    {
        var found = Number().Matches(line);
        return found.Count > 0 ? double.Parse(found[^1].Value, CultureInfo.InvariantCulture) : otherwise;
    }

    private static double[] Numbers(string line) =>
        Number().Matches(line).Select(m => double.Parse(m.Value, CultureInfo.InvariantCulture)).ToArray();

    [GeneratedRegex(@"^\s+B\d+\s+[-+\d.]", RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex LinearRow();

    [GeneratedRegex(@"^\s+b\d+\s*=\s*[-+\d.]", RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex NonlinearRow();

    [GeneratedRegex(@"^\s*[-+.\d][-+.\dEe\s]*$", RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex NumberRow();

    [GeneratedRegex(
        @"(?<![A-Za-z(\d])[-+]?(\d+\.?\d*|\.\d+)([Ee][-+]?\d+)?(?![\w)])",
        RegexOptions.ExplicitCapture,
        1000
    )]
    private static partial Regex Number();
}
