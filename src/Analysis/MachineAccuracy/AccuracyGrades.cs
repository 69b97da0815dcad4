using System.Globalization;

namespace LoadTest.Analysis.MachineAccuracy;

/// <summary>A table of accuracy grades of setting and indication, with the status of every figure.</summary>
public sealed class AccuracyGrades
{
    private const string Resource = "accuracy-grades.csv";
    private const string Header = "grade,quantity,from,to,of,limit,status";

    private AccuracyGrades(IReadOnlyList<GradeLimit> limits) => Limits = limits;

    /// <summary>Every row of the table, in order.</summary>
    public IReadOnlyList<GradeLimit> Limits { get; }

    /// <summary>The table that comes with the program: from memory, to be checked against the standard.</summary>
    public static AccuracyGrades FromMemory()
    {
        using var stream = typeof(AccuracyGrades).Assembly.GetManifestResourceStream(Resource)!;
        using var reader = new StreamReader(stream);
        return Parse(reader.ReadToEnd(), Resource);
    }

    /// <summary>A table of the shop's own, in the form of the one that comes with the program.</summary>
    /// <param name="text">Lines of grade, quantity, from, to, of, limit, status; lines that start with # are remarks.</param>
    /// <param name="name">Name of the file, for findings.</param>
    /// <exception cref="FormatException">A line is not of that form; the message names file and line.</exception>
    public static AccuracyGrades Parse(string text, string name)
    {
        ArgumentNullException.ThrowIfNull(text);
        var limits = new List<GradeLimit>();
        var hasHeader = false;
        var lines = text.Split('\n');
        for (var k = 0; k < lines.Length; k++)
        {
            var line = lines[k].Trim();
            if (line.Length == 0 || line[0] == '#')
                continue;
            if (hasHeader)
                limits.Add(Row(line, $"{name}({k + 1})"));
            else if (!string.Equals(line, Header, StringComparison.Ordinal))
                throw new FormatException($"{name}({k + 1}): found \"{line}\" where \"{Header}\" has to stand.");
            hasHeader = true;
        }
        return new AccuracyGrades(limits);
    }

    /// <summary>The first row of a grade that holds at a setting, or null where the table has none.</summary>
    /// <param name="grade">Name of the grade.</param>
    /// <param name="quantity">Set or indicated.</param>
    /// <param name="part">Setting over maximum setting.</param>
    public GradeLimit? Find(string grade, AccuracyQuantity quantity, double part) =>
        Limits.FirstOrDefault(l =>
            string.Equals(l.Grade, grade, StringComparison.Ordinal)
            && l.Quantity == quantity
            && part >= l.From
            && part <= l.To
        );

    private static GradeLimit Row(string line, string where)
    {
        var fields = line.Split(',', 7);
        if (fields.Length < 7 || fields.Any(string.IsNullOrWhiteSpace))
            throw new FormatException($"{where}: \"{line}\" is not of the form {Header}.");
        var quantity = fields[1] switch
        {
            "set" => AccuracyQuantity.Set,
            "indicated" => AccuracyQuantity.Indicated,
            _ => throw new FormatException($"{where}: \"{fields[1]}\" has to be set or indicated."),
        };
        var isOfMaximum = fields[4] switch
        {
            "maximum" => true,
            "actual" => false,
            _ => throw new FormatException($"{where}: \"{fields[4]}\" has to be actual or maximum."),
        };
        double from = Number(fields[2], where),
            to = Number(fields[3], where),
            limit = Number(fields[5], where);
        return from >= 0 && from < to && limit > 0
            ? new GradeLimit(fields[0], quantity, from, to, isOfMaximum, limit, fields[6])
            : throw new FormatException(
                $"{where}: from {from} to {to} with a limit of {limit}; from has to be 0 or more and below to, the limit above 0."
            );
    }

    private static double Number(string field, string where) =>
        double.TryParse(field, NumberStyles.Float, CultureInfo.InvariantCulture, out var value)
        && double.IsFinite(value)
            ? value
            : throw new FormatException($"{where}: \"{field}\" is not a number. Write it as 0.05.");
}
