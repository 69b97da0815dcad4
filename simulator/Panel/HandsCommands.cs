using System.Globalization;
using LoadTest.Simulator.Faults;

namespace LoadTest.Simulator.Panel;

/// <summary>The lines the hands understand, as simulator/README.md lists them.</summary>
internal sealed class HandsCommands(SimulatedBench bench)
{
    public string Obey(string line)
    {
        var words = line.Split(' ', StringSplitOptions.RemoveEmptyEntries);
        if (words.Length == 0)
        {
            return "no: the line is empty.";
        }

        return words[0] switch
        {
            "engine" or "output" or "idle-down" or "press" or "release" => Switch(line),
            "mode" => Mode(string.Join(' ', words[1..])),
            "control" => Control(words),
            "adjust" => Adjust(words),
            "read" => Read(string.Join(' ', words[1..])),
            "truth" => TruthAbout(string.Join(' ', words[1..])),
            "inject" => Inject(words),
            "clear" when words.Length == 1 => Clear(),
            _ => Unknown(line),
        };
    }

    private string Switch(string line) =>
        line switch
        {
            "engine start" => Said(bench.Source.StartEngine()),
            "engine stop" => Said(bench.Source.StopEngine()),
            "output on" => Said(bench.Source.SetOutput(on: true)),
            "output off" => Said(bench.Source.SetOutput(on: false)),
            "idle-down on" => Said(bench.Source.SetIdleDown(on: true)),
            "idle-down off" => Said(bench.Source.SetIdleDown(on: false)),
            "press stop" => Said(bench.Source.PressStop(pressed: true)),
            "release stop" => Said(bench.Source.PressStop(pressed: false)),
            _ => Unknown(line),
        };

    private string Mode(string name) =>
        name switch
        {
            "constant current" => Said(bench.Source.SetMode(SourceMode.ConstantCurrent)),
            "constant voltage" => Said(bench.Source.SetMode(SourceMode.ConstantVoltage)),
            "drooping" => Said(bench.Source.SetMode(SourceMode.Drooping)),
            _ => $"no: '{name}' is not a mode; there are constant current, constant voltage and drooping.",
        };

    private string Control(string[] words)
    {
        if (words is [_, "minimum"])
        {
            return Said(bench.Source.SetControlMinimum());
        }

        if (words is [_, "maximum"])
        {
            return Said(bench.Source.SetControlMaximum());
        }

        return words is [_, var number, var unit] && TryNumber(number, out var value)
            ? Said(bench.Source.SetControl(value, unit))
            : "no: write control and a mark, such as 'control 250 A', 'control 24 V' or 'control minimum'.";
    }

    private string Adjust(string[] words)
    {
        if (words is [_, "sense", "lead"])
        {
            return Said(bench.Source.AdjustSenseLead());
        }

        return words is [_, "feedback", "gain", var number] && TryNumber(number, out var gain)
            ? Said(bench.Source.AdjustFeedbackGain(gain))
            : "no: what can be adjusted is 'adjust feedback gain 1.02' and 'adjust sense lead'.";
    }

    private string Read(string what) =>
        what switch
        {
            "panel amperes" => Value(bench.Source.ReadPanelAmperes()),
            "panel volts" => Value(bench.Source.ReadPanelVolts()),
            "engine speed" => Value(bench.Source.ReadEngineSpeed()),
            "control" => Value(bench.Source.Dial),
            _ => $"no: '{what}' cannot be read here; there are panel amperes, panel volts, engine speed and control.",
        };

    private string TruthAbout(string what) =>
        what switch
        {
            "amperes" => Value(bench.Truth.Amperes),
            "volts" => Value(bench.Truth.StudVolts),
            "elements" => Value(bench.ElementsOn),
            "unit ratio" => Value(bench.Truth.UnitOhms * 1000),
            _ => $"no: there is no truth about '{what}'; there are amperes, volts, elements and unit ratio (mV/A).",
        };

    // inject fault NAME [DEVICE] [ELEMENT] [VALUE] [COUNT] [at SECONDS s]
    private string Inject(string[] words)
    {
        if (words.Length < 3 || words[1] != "fault")
        {
            return "no: write 'inject fault' and its name.";
        }

        TimeSpan? at = null;
        if (words is [.., "at", var time, "s"])
        {
            if (!TryNumber(time, out var seconds) || seconds is < 0 or > 1e6)
            {
                return $"no: '{time} s' is not a time; allowed is 0 s to 1000000 s.";
            }

            at = TimeSpan.FromSeconds(seconds);
            words = words[..^3];
        }

        if (!FaultCatalogue.Names.Contains(words[2], StringComparer.Ordinal))
        {
            return $"no: '{words[2]}' is not a fault; there are {string.Join(", ", FaultCatalogue.Names)}.";
        }

        if (Fault(words[2], words[3..]) is not { } fault)
        {
            return "no: after the name come the device or element it strikes, then its size, then how many answers.";
        }

        if (FaultCatalogue.Objection(fault, bench.World) is { } objection)
        {
            return "no: " + objection;
        }

        if (at is { } later)
        {
            bench.Inject(fault, later);
        }
        else
        {
            bench.Inject(fault);
        }

        return "ok";
    }

    private static Fault? Fault(string name, string[] rest)
    {
        var target = FaultCatalogue.TargetOf(name);
        string? device = null;
        int? element = null;
        if (target is FaultTarget.Device or FaultTarget.Meter && rest.Length > 0)
        {
            device = rest[0];
            rest = rest[1..];
        }
        else if (target == FaultTarget.Element && rest.Length > 0)
        {
            if (!int.TryParse(rest[0], NumberStyles.None, CultureInfo.InvariantCulture, out var number))
            {
                return null;
            }

            element = number;
            rest = rest[1..];
        }

        return Sized(new Fault(name, device, element), rest);
    }

    // A fault without a size takes its count first: 'busy 3'.
    private static Fault? Sized(Fault fault, string[] rest)
    {
        if (rest.Length > 0 && FaultCatalogue.HasSize(fault.Name))
        {
            if (!TryNumber(rest[0], out var value))
            {
                return null;
            }

            fault = fault with { Value = value };
            rest = rest[1..];
        }

        if (rest.Length == 1 && int.TryParse(rest[0], NumberStyles.None, CultureInfo.InvariantCulture, out var count))
        {
            return fault with { Count = count };
        }

        return rest.Length == 0 ? fault : null;
    }

    private string Clear()
    {
        bench.ClearFaults();
        return "ok";
    }

    private static string Unknown(string line) =>
        $"no: '{line}' is not understood; the lines are listed in simulator/README.md.";

    private static string Said(HandAnswer answer) => answer.Refusal is { } refusal ? "no: " + refusal : "ok";

    private static string Value(double value) => "value " + value.ToString("R", CultureInfo.InvariantCulture);

    private static bool TryNumber(string text, out double value) =>
        double.TryParse(
            text,
            NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint,
            CultureInfo.InvariantCulture,
            out value
        ) && double.IsFinite(value);
}
