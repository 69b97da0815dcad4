using System.Text.Json.Nodes;
using LoadTest.Analysis.VoltAmp;
using LoadTest.Commands;

namespace LoadTest.SystemTests.Curves;

public sealed class CurveCommandTests : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("curve");

    public void Dispose() => _folder.Delete(recursive: true);

    // NIST StRD, Norris (lower difficulty, 36 readings): certified intercept, slope and their standard deviations.
    [Fact]
    public void Certified_line_comes_out_of_the_command_as_certified()
    {
        var data = File.ReadAllLines(Path.Combine(AppContext.BaseDirectory, "data", "Norris.dat"))
            .Skip(60)
            .Take(36)
            .Select(l => l.Split(' ', StringSplitOptions.RemoveEmptyEntries))
            .Select(c => $"{c[1]},{c[0]}");
        var (exit, document) = Fit(
            new VoltAmpOptions { Model = VoltAmpModel.StraightLine, SetOutliersAside = false },
            Write("norris.csv", "current (A),voltage (V)\n" + string.Join('\n', data))
        );

        Assert.Equal(ExitCode.Pass, exit);
        var curve = document["curves"]![0]!;
        Assert.Equal("straight line", (string?)curve["model"]);
        Near(-0.262323073774029, 0.232818234301152, Result(curve, "open-circuit voltage", "V"));
        Near(100.211681802045, 0.0429796848199937, Result(curve, "slope", "V/100 A"));
    }

    [Fact]
    public void Every_result_has_name_value_unit_and_standard_uncertainty()
    {
        var (_, document) = Fit(new VoltAmpOptions(), Write("four.csv", Four));
        var curve = document["curves"]![0]!;

        Assert.NotEmpty((string?)curve["reason"] ?? "");
        Assert.All(
            curve["results"]!.AsArray(),
            r =>
            {
                Assert.NotEmpty((string?)r!["name"] ?? "");
                Assert.True(double.IsFinite((double)r["value"]!));
                Assert.NotEmpty((string?)r["unit"] ?? "");
                Assert.True(r.AsObject().ContainsKey("standardUncertainty"));
            }
        );
    }

    [Fact]
    public void Pictures_of_like_named_curves_do_not_overwrite_each_other()
    {
        var plots = Path.Combine(_folder.FullName, "plots");
        var (first, second) = (Write("a/x y.csv", Four), Write("b/x-y.csv", Four));
        Draw(new VoltAmpOptions(), plots, first, second);

        Assert.Equal(2, Directory.GetFiles(plots, "x-y*.svg").Length);
    }

    [Fact]
    public void A_curve_that_cannot_be_fitted_is_a_finding_and_the_others_are_fitted()
    {
        var (exit, document) = Fit(
            new VoltAmpOptions(),
            Write("bad.csv", "current (A),voltage (V)\n5,60\n5,61\n5,62\n"),
            Write("good.csv", Four)
        );

        Assert.Equal(ExitCode.BadInput, exit);
        Assert.Equal("good", (string?)Assert.Single(document["curves"]!.AsArray())!["name"]);
        var finding = Assert.Single(document["findings"]!.AsArray())!;
        Assert.Equal(2, (int)finding["line"]!);
        Assert.DoesNotContain("Parameter", (string)finding["message"]!, StringComparison.Ordinal);
    }

    // Worked by hand: 60 V and 4 V/100 A to 200 A, 52 V; then 1 V/A to 252 A. On 20 V + 0.04 Ω · I: 232/1.04 A.
    [Fact]
    public void A_knee_drawn_by_hand_is_read_as_drawn()
    {
        var (exit, document) = Fit(
            new VoltAmpOptions(),
            Write("knee.csv", "current (A),voltage (V)\n0,60\n50,58\n100,56\n150,54\n210,42\n220,32\n230,22\n240,12\n")
        );

        Assert.Equal(ExitCode.Pass, exit);
        var curve = document["curves"]![0]!;
        Assert.Contains("knee", (string?)curve["model"], StringComparison.Ordinal);
        Hand(60, "V", curve, "open-circuit voltage");
        Hand(-4, "V/100 A", curve, "slope");
        Hand(-100, "V/100 A", curve, "slope beyond the knee");
        Hand(200, "A", curve, "knee current");
        Hand(52, "V", curve, "knee voltage");
        Hand(252, "A", curve, "short-circuit current");
        Hand(232 / 1.04, "A", curve, "operating current, MMA");
        Hand(20 + (0.04 * 232 / 1.04), "V", curve, "operating voltage, MMA");
    }

    // A quarter of an ellipse of 80 V and 400 A; on 20 V + 0.04 Ω · I: 0.0416 I² + 1.6 I − 6000 = 0.
    [Fact]
    public void A_reactance_limited_source_drawn_by_hand_is_read_as_drawn()
    {
        int[] amperes = [0, 100, 200, 300, 340, 380];
        var (exit, document) = Fit(
            new VoltAmpOptions(),
            Write(
                "ellipse.csv",
                "current (A),voltage (V)\n"
                    + string.Join('\n', amperes.Select(i => $"{i},{80 * Math.Sqrt(1 - (i * i / 160_000.0)):R}"))
            )
        );

        Assert.Equal(ExitCode.Pass, exit);
        var curve = document["curves"]![0]!;
        Assert.Contains("ellipse", (string?)curve["model"], StringComparison.Ordinal);
        Hand(80, "V", curve, "open-circuit voltage");
        Hand(400, "A", curve, "short-circuit current");
        Hand((Math.Sqrt(2.56 + 998.4) - 1.6) / 0.0832, "A", curve, "operating current, MMA");
    }

    // Worked by hand: 60 V, 55 V, 50 V, 45 V at 0 A, 100 A, 200 A, 300 A.
    private const string Four = "current (A),voltage (V)\n0,60\n100,55\n200,50\n300,45\n";

    private static (ExitCode Exit, JsonObject Document) Fit(VoltAmpOptions options, params string[] files) =>
        Draw(options, null, files);

    private static (ExitCode Exit, JsonObject Document) Draw(
        VoltAmpOptions options,
        string? plots,
        params string[] files
    )
    {
        var screen = new Screen(TextWriter.Null, TextWriter.Null, isTerminal: false, hasColour: false, isJson: true);
        return (CurveCommand.Fit(screen, files, options, plots), screen.Document);
    }

    private string Write(string name, string text)
    {
        var path = Path.Combine(_folder.FullName, name);
        Directory.CreateDirectory(Path.GetDirectoryName(path)!);
        File.WriteAllText(path, text);
        return path;
    }

    private static (double Value, double U) Result(JsonNode curve, string name, string unit)
    {
        var result = curve["results"]!.AsArray().Single(r => (string?)r!["name"] == name)!;
        Assert.Equal(unit, (string?)result["unit"]);
        return ((double)result["value"]!, (double)result["standardUncertainty"]!);
    }

    private static void Hand(double value, string unit, JsonNode curve, string name) =>
        Assert.Equal(value, Result(curve, name, unit).Value, 1e-6);

    private static void Near(double value, double u, (double Value, double U) found)
    {
        Assert.InRange(found.Value / value, 1 - 1e-10, 1 + 1e-10);
        Assert.InRange(found.U / u, 1 - 1e-9, 1 + 1e-9);
    }
}
