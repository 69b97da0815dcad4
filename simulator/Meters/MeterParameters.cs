namespace LoadTest.Simulator.Meters;

/// <summary>Reads the parameters of commands and applies them; each gives null or the standard's error.</summary>
internal static class MeterParameters
{
    /// <summary>How many parameters a command takes at most.</summary>
    public static int Most(MeterCommand command) =>
        command switch
        {
            MeterCommand.ConfigureDc or MeterCommand.ConfigureAc or MeterCommand.MeasureDc or MeterCommand.MeasureAc =>
                2,
            MeterCommand.SetEventEnable or MeterCommand.SetServiceEnable or MeterCommand.SetQuestionableEnable => 1,
            MeterCommand.SetOperationEnable or MeterCommand.SetFunction or MeterCommand.SetCycles => 1,
            MeterCommand.SetRangeDc or MeterCommand.SetRangeAc => 1,
            MeterCommand.SetAutomaticDc or MeterCommand.SetAutomaticAc => 1,
            MeterCommand.AskRangeDc or MeterCommand.AskRangeAc or MeterCommand.AskCycles => 1,
            _ => 0,
        };

    public static ScpiError? SetResolution(MeterSettings settings, string word)
    {
        if (Is(word, "MIN", "MINimum") || Is(word, "MAX", "MAXimum"))
        {
            settings.SetCycles(Is(word, "MIN", "MINimum") ? 1 : 0.1);
            return null;
        }

        return ScpiNumber.Read(word, takesVolts: true, out var volts) is { } error ? error
            : settings.SetResolution(volts) ? null
            : ScpiError.OutOfRange;
    }

    public static ScpiError? SetRange(MeterSettings settings, string[] words)
    {
        if (words.Length == 0)
        {
            return ScpiError.MissingParameter;
        }

        var volts = settings.SmallestRange;
        if (Is(words[0], "MAX", "MAXimum"))
        {
            volts = settings.LargestRange;
        }
        else if (!Is(words[0], "MIN", "MINimum") && ScpiNumber.Read(words[0], takesVolts: true, out volts) is { } error)
        {
            return error;
        }

        return settings.FixRange(volts) ? null : ScpiError.OutOfRange;
    }

    public static ScpiError? AskRange(MeterSettings settings, string[] words, List<string> answers) =>
        AskNumber(settings.RangeVolts, settings.SmallestRange, settings.LargestRange, words, answers);

    public static ScpiError? AskCycles(MeterSettings settings, string[] words, List<string> answers) =>
        AskNumber(settings.Cycles, MeterSettings.LeastCycles, MeterSettings.MostCycles, words, answers);

    public static ScpiError? AskNumber(double now, double least, double most, string[] words, List<string> answers)
    {
        var wanted =
            words.Length == 0 ? now
            : Is(words[0], "MIN", "MINimum") ? least
            : Is(words[0], "MAX", "MAXimum") ? most
            : double.NaN;
        if (double.IsNaN(wanted))
        {
            return ScpiError.IllegalParameter;
        }

        answers.Add(ScpiNumber.Format(wanted));
        return null;
    }

    public static ScpiError? SetAutomatic(MeterSettings settings, string[] words)
    {
        if (words.Length == 0)
        {
            return ScpiError.MissingParameter;
        }

        var on = Is(words[0], "ON", "1");
        if (!on && !Is(words[0], "OFF", "0"))
        {
            return ScpiError.IllegalParameter;
        }

        settings.SetAutomatic(on);
        return null;
    }

    public static ScpiError? SetCycles(MeterSettings settings, string[] words)
    {
        if (words.Length == 0)
        {
            return ScpiError.MissingParameter;
        }

        var cycles = MeterSettings.LeastCycles;
        if (Is(words[0], "MAX", "MAXimum"))
        {
            cycles = MeterSettings.MostCycles;
        }
        else if (
            !Is(words[0], "MIN", "MINimum") && ScpiNumber.Read(words[0], takesVolts: false, out cycles) is { } error
        )
        {
            return error;
        }

        return settings.SetCycles(cycles) ? null : ScpiError.OutOfRange;
    }

    public static ScpiError? SetByte(string[] words, int most, Action<int> set)
    {
        if (words.Length == 0)
        {
            return ScpiError.MissingParameter;
        }

        if (ScpiNumber.Read(words[0], takesVolts: false, out var value) is { } error)
        {
            return error;
        }

        if (!(value >= 0 && value <= most))
        {
            return ScpiError.OutOfRange;
        }

        set((int)Math.Round(value));
        return null;
    }

    public static bool Is(string word, string first, string second) =>
        word.Equals(first, StringComparison.OrdinalIgnoreCase)
        || word.Equals(second, StringComparison.OrdinalIgnoreCase);
}
