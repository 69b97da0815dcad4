using System.CommandLine;
using System.Text;
using System.Text.Json.Nodes;
using LoadTest.Analysis.VoltAmp;
using LoadTest.Curves;
using LoadTest.Plots;
using LoadTest.Records;
using LoadTest.Reports;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Text;

namespace LoadTest.Commands;

/// <summary>The verb <c>curve</c>: fits and draws volt-amp readings taken by hand or elsewhere.</summary>
internal static class CurveCommand
{
    private const int PictureWidth = 720;
    private const int PictureHeight = 380;

    public static Command Create()
    {
        var files = new Argument<string[]>("FILE.csv")
        {
            Description =
                "Tables of readings with heads and units: current (A), voltage (V), if known u(current) (A), u(voltage) (V).",
            Arity = ArgumentArity.OneOrMore,
        };
        var pictures = new Option<string?>("--out")
        {
            Description = "Folder for a picture of each curve; left out, none is drawn.",
            HelpName = "DIR",
        };
        var options = new CurveOptions();
        return Verb.Create(
            "curve",
            "Fits volt-amp curves to readings in CSV files: shape, numbers with their uncertainties, operating points, pictures.",
            "loadtest curve readings.csv --rated-current \"300 A\" --out plots",
            [files, pictures, .. options.All],
            (parsed, screen) =>
                Fit(screen, parsed.GetRequiredValue(files), options.Of(parsed), parsed.GetValue(pictures))
        );
    }

    /// <summary>Reads, fits, shows and draws every curve of every file.</summary>
    internal static ExitCode Fit(Screen screen, IReadOnlyList<string> files, VoltAmpOptions options, string? folder)
    {
        var list = new JsonArray();
        screen.Document["curves"] = list;
        var isSound = true;
        var names = new HashSet<string>(StringComparer.OrdinalIgnoreCase);
        foreach (var file in files)
        {
            var bytes = InputFiles.Guarded(() => RegularFile.Head(file, FileText.MostBytes));
            var (curves, findings) = CurveFile.Read(file, bytes);
            isSound &= !screen.Findings(findings);
            foreach (var given in curves)
            {
                if (Fitted(screen, given, options) is not { } curve)
                {
                    isSound = false;
                    continue;
                }
                var fitted = new FittedCurve(given, curve, PictureName(given, curves.Length, names));
                var entry = CurveJson.Of(fitted);
                list.Add(entry);
                Show(screen, fitted);
                if (folder is not null)
                    entry["picture"] = Draw(screen, fitted, options, folder);
            }
        }
        return isSound ? ExitCode.Pass : ExitCode.BadInput;
    }

    private static VoltAmpCurve? Fitted(Screen screen, GivenCurve given, VoltAmpOptions options)
    {
        try
        {
            var curve = VoltAmpAnalysis.Fit(
                given.Points,
                options with
                {
                    VoltsDigit = given.VoltsDigit,
                    AmperesDigit = given.AmperesDigit,
                }
            );
            // Whatever a curve cannot answer for is said when it is read, not only when it is fitted.
            _ = (curve.Results, curve.Points, curve.Findings);
            return curve;
        }
        catch (ArgumentException trouble)
        {
            screen.Findings([new Finding(given.Place, Severity.Error, $"{given.Name}: {SentenceText.Of(trouble)}")]);
            return null;
        }
    }

    private static void Show(Screen screen, FittedCurve fitted)
    {
        var curve = fitted.Curve;
        screen.Line();
        screen.Line($"{fitted.Given.Name}: {curve.ModelName}, {fitted.Given.Points.Length} readings");
        screen.Line(SentenceText.Of($"{(curve.IsWithoutShape ? "Because" : "Chosen because")}: {curve.Reason}"));
        screen.Table(
            new TextTable(
                "Read from the curve",
                [
                    new("result", IsNumber: false),
                    new("value", IsNumber: true),
                    new("standard uncertainty", IsNumber: true),
                    new("unit", IsNumber: false),
                    new("note", IsNumber: false),
                ],
                [.. curve.Results.Select(Row)]
            )
        );
        foreach (var finding in curve.Findings)
            screen.Line($"Note: {finding}");
    }

    private static System.Collections.Immutable.ImmutableArray<string> Row(CurveResult result) =>
        [
            result.IsExtrapolated ? $"{result.Name} (extrapolated)" : result.Name,
            ReportNumber.Value(result.Value, Known(result) ?? 0),
            Known(result) is { } u ? ReportNumber.Uncertainty(u) : "not known",
            result.Unit + ReportNumber.InMilliohms(result),
            result.Note,
        ];

    private static string Draw(Screen screen, FittedCurve fitted, VoltAmpOptions options, string folder)
    {
        Directory.CreateDirectory(folder);
        var path = Path.Combine(folder, fitted.Picture + ".svg");
        var plot = CurvePlot.Draw(fitted.Given.Name, fitted.Curve, options.LoadLines);
        File.WriteAllText(path, PlotStyle.Svg(plot, PictureWidth, PictureHeight), new UTF8Encoding(false));
        screen.Line($"Picture: {path}");
        return path;
    }

    // Letters, digits and hyphens of file and curve; a number where that is taken.
    private static string PictureName(GivenCurve given, int curves, HashSet<string> taken)
    {
        var stem = Path.GetFileNameWithoutExtension(given.Place.File);
        var whole = curves > 1 ? $"{stem}-{given.Name}" : stem;
        var plain = string.Concat(whole.Select(c => char.IsAsciiLetterOrDigit(c) ? c : '-')).Trim('-');
        plain = plain.Length == 0 ? "curve" : plain[..Math.Min(plain.Length, 80)];
        var name = plain;
        for (var k = 2; !taken.Add(name); k++)
            name = $"{plain}-{k}";
        return name;
    }

    // What is left of a fit through readings without scatter is rounding, and is said as none.
    private static double? Known(CurveResult result) =>
        result.StandardUncertainty is { } u && u <= 1e-12 * Math.Abs(result.Value) ? 0 : result.StandardUncertainty;
}
