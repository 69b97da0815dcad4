using System.CommandLine;
using System.CommandLine.Parsing;
using LoadTest.Analysis.VoltAmp;
using LoadTest.Sequencer.Text;

namespace LoadTest.Curves;

/// <summary>What a person may ask of a fit on the command line.</summary>
internal sealed class CurveOptions
{
    private static readonly Dictionary<string, VoltAmpModel> s_shapes = new(StringComparer.OrdinalIgnoreCase)
    {
        ["line"] = VoltAmpModel.StraightLine,
        ["knee"] = VoltAmpModel.SharpKnee,
        ["rounded-knee"] = VoltAmpModel.RoundedKnee,
        ["ellipse"] = VoltAmpModel.Ellipse,
        ["droop"] = VoltAmpModel.DroopedLine,
        ["knee-droop"] = VoltAmpModel.DroopedKnee,
        ["interpolation"] = VoltAmpModel.Interpolation,
    };

    private readonly Option<VoltAmpModel?> _model = new("--model")
    {
        Description =
            "Shape: line, knee, rounded-knee, ellipse, droop, knee-droop or interpolation. Left out, the evidence chooses and says why.",
        HelpName = "SHAPE",
        CustomParser = Model,
    };

    private readonly Option<double?> _coverage = new("--coverage")
    {
        Description = "Coverage of the band, for instance \"99 %\"; left out, 95 %.",
        HelpName = "PERCENT",
        CustomParser = r => Quantity(r, Unit.Fraction, "95 %"),
    };

    private readonly Option<double?> _rated = new("--rated-current")
    {
        Description = "Rated current of the nameplate, for instance \"300 A\"; regulation then refers to it.",
        HelpName = "CURRENT",
        CustomParser = r => Quantity(r, Unit.Ampere, "300 A"),
    };

    private readonly Option<LoadLine[]> _lines = new("--load-line")
    {
        Description =
            "A further load line as volts at no current and rise, for instance \"20 V, 0.04 V/A\"; the conventional ones are always drawn.",
        HelpName = "LINE",
        AllowMultipleArgumentsPerToken = false,
        CustomParser = Lines,
    };

    /// <summary>The options, in the order of the help.</summary>
    public IEnumerable<Option> All => [_model, _coverage, _rated, _lines];

    /// <summary>What was asked for.</summary>
    public VoltAmpOptions Of(ParseResult parsed) =>
        new()
        {
            Model = parsed.GetValue(_model),
            Coverage = parsed.GetValue(_coverage) ?? new VoltAmpOptions().Coverage,
            RatedAmperes = parsed.GetValue(_rated),
            LoadLines = [LoadLine.CoveredElectrode, LoadLine.Tig, LoadLine.MigMag, .. parsed.GetValue(_lines) ?? []],
        };

    private static VoltAmpModel? Model(ArgumentResult result)
    {
        var word = result.Tokens[0].Value;
        if (s_shapes.TryGetValue(word, out var model))
            return model;
        result.AddError($"`{word}` is not a shape. {NearestWord.Advice(word, s_shapes.Keys)}");
        return null;
    }

    private static double? Quantity(ArgumentResult result, Unit unit, string example) =>
        Read(result, result.Tokens[0].Value, unit, example);

    private static double? Read(ArgumentResult result, string text, Unit unit, string example)
    {
        if (QuantityText.Read(text, out var quantity, example) is { } trouble)
        {
            result.AddError(trouble);
            return null;
        }
        if (quantity.Unit != unit)
        {
            result.AddError($"`{text}` is not in {UnitText.Usual(unit)}. Write for example `{example}`.");
            return null;
        }
        return quantity.Value;
    }

    private static LoadLine[] Lines(ArgumentResult result)
    {
        const string Example = "20 V, 0.04 V/A";
        var lines = new List<LoadLine>();
        foreach (var text in result.Tokens.Select(t => t.Value))
        {
            var parts = text.Split(',');
            if (parts.Length != 2)
            {
                result.AddError($"`{text}` is not a load line. Write volts and rise, for example `{Example}`.");
                continue;
            }
            if (
                Read(result, parts[0].Trim(), Unit.Volt, "20 V") is not { } volts
                || Read(result, parts[1].Trim(), Unit.VoltPerAmpere, "0.04 V/A") is not { } rise
            )
                continue;
            if (rise < 0)
                result.AddError($"`{text}` falls; a load line rises by 0 V/A or more.");
            else
                lines.Add(LoadLine.Given(text.Trim(), volts, rise));
        }
        return [.. lines];
    }
}
