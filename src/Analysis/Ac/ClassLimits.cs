using System.Globalization;
using LoadTest.Analysis.Decision;

namespace LoadTest.Analysis.Ac;

/// <summary>A table of performance-class limits for generating sets, with the status of every figure.</summary>
public sealed class ClassLimits
{
    private const string Header = "quantity,class,lower,upper,unit,status";

    private ClassLimits(IReadOnlyList<ClassLimit> limits) => Limits = limits;

    /// <summary>Every limit of the table.</summary>
    public IReadOnlyList<ClassLimit> Limits { get; }

    /// <summary>The table that comes with the program: from memory, to be checked against the standard.</summary>
    public static ClassLimits FromMemory()
    {
        using var stream = typeof(ClassLimits).Assembly.GetManifestResourceStream("generating-set-limits.csv")!;
        using var reader = new StreamReader(stream);
        return Parse(reader.ReadToEnd(), "generating-set-limits.csv");
    }

    /// <summary>A table of the shop's own, in the form of the one that comes with the program.</summary>
    /// <param name="text">Lines of quantity, class, lower, upper, unit, status; lines that start with # are remarks.</param>
    /// <param name="name">Name of the file, for findings.</param>
    /// <exception cref="FormatException">A line is not of that form; the message names file and line.</exception>
    public static ClassLimits Parse(string text, string name)
    {
        ArgumentNullException.ThrowIfNull(text);
        var limits = new List<ClassLimit>();
        var hasHeader = false;
        var lines = text.Split('\n');
        for (var k = 0; k < lines.Length; k++)
        {
            var line = lines[k].TrimEnd('\r').Trim();
            if (line.Length == 0 || line[0] == '#')
            {
                continue;
            }

            if (hasHeader)
            {
                limits.Add(LimitOf(line, $"{name}({k + 1})"));
            }
            else if (!string.Equals(line, Header, StringComparison.Ordinal))
            {
                throw new FormatException($"{name}({k + 1}): found \"{line}\" where \"{Header}\" has to stand.");
            }

            hasHeader = true;
        }

        return new ClassLimits(limits);
    }

    /// <summary>The limit of a quantity in a class, or null where the table has none.</summary>
    public ClassLimit? Find(string quantity, string performanceClass) =>
        Limits.FirstOrDefault(l =>
            string.Equals(l.Quantity, quantity, StringComparison.Ordinal)
            && string.Equals(l.Class, performanceClass, StringComparison.Ordinal)
        );

    /// <summary>Where a value stands in each class that limits its quantity, in the order of the table.</summary>
    public IReadOnlyList<(ClassLimit Limit, Verdict Verdict)> JudgeAll(
        string quantity,
        Estimate value,
        double coverageFactor = 2
    ) =>
        [
            .. Limits
                .Where(l => string.Equals(l.Quantity, quantity, StringComparison.Ordinal))
                .Select(l => (l, l.Judge(value, coverageFactor))),
        ];

    private static ClassLimit LimitOf(string line, string where)
    {
        var fields = line.Split(',', 6);
        if (fields.Length < 6 || fields.Take(2).Any(string.IsNullOrWhiteSpace) || fields[5].Length == 0)
        {
            throw new FormatException($"{where}: \"{line}\" is not of the form {Header}.");
        }

        var (lower, upper) = (Number(fields[2], where), Number(fields[3], where));
        return lower is null && upper is null || lower > upper
            ? throw new FormatException(
                $"{where}: limits \"{fields[2]}\" and \"{fields[3]}\" leave nothing to hold. Give one."
            )
            : new ClassLimit(fields[0], fields[1], lower, upper, fields[4], fields[5]);
    }

    private static double? Number(string field, string where)
    {
        if (field.Length == 0)
        {
            return null;
        }

        return
            double.TryParse(field, NumberStyles.Float, CultureInfo.InvariantCulture, out var value)
            && double.IsFinite(value)
            ? value
            : throw new FormatException($"{where}: \"{field}\" is not a number. Write it as 0.05.");
    }
}
