namespace LoadTest.Simulator.Meters;

/// <summary>Obeys the units of a message, one at a time.</summary>
internal sealed class MeterInterpreter
{
    private readonly string _identity;
    private readonly MeterFront _front;
    private readonly Action _beginReading;
    private readonly ScpiTree<MeterCommand> _tree = MeterCommands.Tree();
    private readonly ErrorQueue _errors = new();
    private string _path = "";
    private bool _awaitsReading;
    private string _configured = "";

    public MeterInterpreter(string identity, MeterFront front, Action beginReading)
    {
        _identity = identity;
        _front = front;
        _beginReading = beginReading;
        Status = new StatusRegisters(_errors);
        NoteConfiguration();
    }

    public StatusRegisters Status { get; }

    /// <summary>True while the front end measures; set by the device.</summary>
    public bool IsMeasuring { get; set; }

    /// <summary>A new message: headers count from the root again.</summary>
    public void BeginMessage()
    {
        _path = "";
        _awaitsReading = false;
    }

    public void Restart()
    {
        _front.Restart();
        Status.Restart();
        NoteConfiguration();
        BeginMessage();
    }

    /// <summary>Obeys one unit.</summary>
    /// <returns>False when it has to wait for the reading under way and be tried again.</returns>
    public bool Obey(in ScpiUnit unit, List<string> answers)
    {
        var header = Rooted(unit.Header);
        if (ScpiTree<MeterCommand>.HasLongMnemonic(header))
        {
            return Fail(ScpiError.MnemonicTooLong);
        }

        if (!header.All(c => char.IsAsciiLetterOrDigit(c) || c is ':' or '*' or '?' or '_'))
        {
            return Fail(header.Any(c => c > '~') ? ScpiError.InvalidCharacter : ScpiError.Syntax);
        }

        if (_tree.Find(header) is not { } command)
        {
            return Fail(ScpiError.UndefinedHeader);
        }

        // Whatever touches a measurement waits for the one under way.
        if (IsMeasuring && command is not (MeterCommand.AskStatusByte or MeterCommand.Identify))
        {
            return false;
        }

        if (Perform(command, unit.Parameters, answers) is { } error)
        {
            return Fail(error);
        }

        KeepPath(header);
        return !_awaitsReading;
    }

    private bool Fail(ScpiError error)
    {
        _awaitsReading = false;
        Status.Report(error);
        return true;
    }

    // A leading colon counts from the root, anything else from where the unit before it was; common commands from nowhere.
    private string Rooted(string header)
    {
        if (header[0] == '*')
        {
            return header;
        }

        return header[0] == ':' ? header[1..]
            : _path.Length == 0 ? header
            : _path + ":" + header;
    }

    private void KeepPath(string header)
    {
        if (header[0] != '*' && !_awaitsReading)
        {
            var colon = header.LastIndexOf(':');
            _path = colon < 0 ? "" : header[..colon];
        }
    }

    private ScpiError? Perform(MeterCommand command, string[] words, List<string> answers)
    {
        var most = MostParameters(command);
        if (words.Length > most)
        {
            return ScpiError.ParameterNotAllowed;
        }

        return command switch
        {
            MeterCommand.SetEventEnable => SetByte(words, 255, value => Status.EventEnable = value),
            MeterCommand.SetServiceEnable => SetByte(words, 255, value => Status.ServiceEnable = value & ~64),
            MeterCommand.SetQuestionableEnable => SetByte(words, 32767, value => Status.QuestionableEnable = value),
            MeterCommand.SetOperationEnable => SetByte(words, 32767, value => Status.OperationEnable = value),
            MeterCommand.SetFunction => SetFunction(words),
            MeterCommand.ConfigureDc => Configure(isAc: false, words),
            MeterCommand.ConfigureAc => Configure(isAc: true, words),
            MeterCommand.SetRangeDc => SetRange(_front.Dc, words),
            MeterCommand.SetRangeAc => SetRange(_front.Ac, words),
            MeterCommand.SetAutomaticDc => SetAutomatic(_front.Dc, words),
            MeterCommand.SetAutomaticAc => SetAutomatic(_front.Ac, words),
            MeterCommand.SetCycles => SetCycles(words),
            MeterCommand.Read or MeterCommand.Initiate or MeterCommand.Fetch => Reading(command, answers),
            MeterCommand.MeasureDc => Measure(isAc: false, words, answers),
            MeterCommand.MeasureAc => Measure(isAc: true, words, answers),
            MeterCommand.AskRangeDc => AskRange(_front.Dc, words, answers),
            MeterCommand.AskRangeAc => AskRange(_front.Ac, words, answers),
            MeterCommand.AskCycles => AskCycles(words, answers),
            _ => Simple(command, answers),
        };
    }

    private static int MostParameters(MeterCommand command) =>
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

    private ScpiError? Simple(MeterCommand command, List<string> answers)
    {
        switch (command)
        {
            case MeterCommand.ClearStatus:
                Status.Clear();
                return null;
            case MeterCommand.Reset:
                _front.Reset();
                NoteConfiguration();
                return null;
            case MeterCommand.OperationComplete:
                Status.CompleteOperations();
                return null;
            case MeterCommand.PresetStatus:
                Status.QuestionableEnable = Status.OperationEnable = 0;
                return null;
            case MeterCommand.Wait:
                return null;
            default:
                answers.Add(SimpleAnswer(command));
                return null;
        }
    }

    private string SimpleAnswer(MeterCommand command) =>
        command switch
        {
            MeterCommand.Identify => _identity,
            MeterCommand.AskEventEnable => Status.EventEnable.ToString(),
            MeterCommand.AskEvents => Status.TakeEvents().ToString(),
            MeterCommand.AskServiceEnable => Status.ServiceEnable.ToString(),
            MeterCommand.AskStatusByte => Status.StatusByte().ToString(),
            MeterCommand.AskOperationComplete => "1",
            MeterCommand.SelfTest => "0",
            MeterCommand.AskConfigure => _configured,
            MeterCommand.AskFunction => _front.IsAc ? "\"VOLT:AC\"" : "\"VOLT\"",
            MeterCommand.AskAutomaticDc => _front.Dc.IsAutomatic ? "1" : "0",
            MeterCommand.AskAutomaticAc => _front.Ac.IsAutomatic ? "1" : "0",
            MeterCommand.AskResolution => ScpiNumber.Format(_front.Dc.CountVolts),
            MeterCommand.AskError => _errors.Take().ToString(),
            MeterCommand.AskErrorCount => _errors.Count.ToString(),
            MeterCommand.AskVersion => "1999.0",
            MeterCommand.AskQuestionable => Status.TakeQuestionable().ToString(),
            MeterCommand.AskQuestionableCondition => Status.QuestionableCondition.ToString(),
            MeterCommand.AskQuestionableEnable => Status.QuestionableEnable.ToString(),
            MeterCommand.AskOperationEnable => Status.OperationEnable.ToString(),
            MeterCommand.AskOperation => "0",
            _ => throw new InvalidOperationException($"{command} has no answer of its own."),
        };

    private ScpiError? Reading(MeterCommand command, List<string> answers)
    {
        if (command == MeterCommand.Fetch || _awaitsReading)
        {
            _awaitsReading = false;
            if (_front.Last is not { } last)
            {
                return ScpiError.Stale;
            }

            answers.Add(ScpiNumber.Format(last));
            return null;
        }

        _awaitsReading = command != MeterCommand.Initiate;
        _beginReading();
        return null;
    }

    private ScpiError? Measure(bool isAc, string[] words, List<string> answers)
    {
        if (!_awaitsReading && Configure(isAc, words) is { } error)
        {
            return error;
        }

        return Reading(MeterCommand.Read, answers);
    }

    private ScpiError? Configure(bool isAc, string[] words)
    {
        var settings = isAc ? _front.Ac : _front.Dc;
        settings.Preset();
        _front.IsAc = isAc;
        var isDefault = words.Length == 0 || Is(words[0], "DEF", "DEFault");
        var error = isDefault ? null : SetRange(settings, words[..1]);
        if (error is null && words.Length == 2 && !Is(words[1], "DEF", "DEFault"))
        {
            error = SetResolution(settings, words[1]);
        }

        NoteConfiguration();
        return error;
    }

    private static ScpiError? SetResolution(MeterSettings settings, string word)
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

    private ScpiError? SetFunction(string[] words)
    {
        if (words.Length == 0)
        {
            return ScpiError.MissingParameter;
        }

        var word = words[0];
        if (word.Length < 2 || word[0] is not ('"' or '\''))
        {
            return ScpiError.DataType;
        }

        if (word[^1] != word[0])
        {
            return ScpiError.InvalidString;
        }

        var name = word[1..^1];
        var isAc = Is(name, "VOLT:AC", "VOLTage:AC");
        if (!isAc && !Is(name, "VOLT", "VOLTage") && !Is(name, "VOLT:DC", "VOLTage:DC"))
        {
            return ScpiError.IllegalParameter;
        }

        _front.IsAc = isAc;
        return null;
    }

    private static ScpiError? SetRange(MeterSettings settings, string[] words)
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

    private static ScpiError? AskRange(MeterSettings settings, string[] words, List<string> answers) =>
        AskNumber(settings.RangeVolts, settings.SmallestRange, settings.LargestRange, words, answers);

    private ScpiError? AskCycles(string[] words, List<string> answers) =>
        AskNumber(_front.Dc.Cycles, MeterSettings.LeastCycles, MeterSettings.MostCycles, words, answers);

    private static ScpiError? AskNumber(double now, double least, double most, string[] words, List<string> answers)
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

    private static ScpiError? SetAutomatic(MeterSettings settings, string[] words)
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

    private ScpiError? SetCycles(string[] words)
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

        return _front.Dc.SetCycles(cycles) ? null : ScpiError.OutOfRange;
    }

    private static ScpiError? SetByte(string[] words, int most, Action<int> set)
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

    private void NoteConfiguration()
    {
        var settings = _front.Settings;
        var function = _front.IsAc ? "VOLT:AC" : "VOLT";
        _configured =
            $"\"{function} {ScpiNumber.Format(settings.RangeVolts)},{ScpiNumber.Format(settings.CountVolts)}\"";
    }

    private static bool Is(string word, string first, string second) =>
        word.Equals(first, StringComparison.OrdinalIgnoreCase)
        || word.Equals(second, StringComparison.OrdinalIgnoreCase);
}
