namespace LoadTest.Simulator.Meters;

/// <summary>Obeys the units of a message, one at a time.</summary>
internal sealed class MeterInterpreter
{
    private readonly string _identity;
    private readonly MeterFront _front;
    private readonly Action _beginReading;
    private readonly ScpiTree<MeterCommand> _tree = new(MeterCommands.Patterns);
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
        var most = MeterParameters.Most(command);
        if (words.Length > most)
        {
            return ScpiError.ParameterNotAllowed;
        }

        return command switch
        {
            MeterCommand.SetEventEnable => MeterParameters.SetByte(words, 255, value => Status.EventEnable = value),
            MeterCommand.SetServiceEnable => MeterParameters.SetByte(
                words,
                255,
                value => Status.ServiceEnable = value & ~64
            ),
            MeterCommand.SetQuestionableEnable => MeterParameters.SetByte(
                words,
                32767,
                value => Status.QuestionableEnable = value
            ),
            MeterCommand.SetOperationEnable => MeterParameters.SetByte(
                words,
                32767,
                value => Status.OperationEnable = value
            ),
            MeterCommand.SetFunction => SetFunction(words),
            MeterCommand.ConfigureDc => Configure(isAc: false, words),
            MeterCommand.ConfigureAc => Configure(isAc: true, words),
            MeterCommand.SetRangeDc => MeterParameters.SetRange(_front.Dc, words),
            MeterCommand.SetRangeAc => MeterParameters.SetRange(_front.Ac, words),
            MeterCommand.SetAutomaticDc => MeterParameters.SetAutomatic(_front.Dc, words),
            MeterCommand.SetAutomaticAc => MeterParameters.SetAutomatic(_front.Ac, words),
            MeterCommand.SetCycles => MeterParameters.SetCycles(_front.Dc, words),
            MeterCommand.Read or MeterCommand.Initiate or MeterCommand.Fetch => Reading(command, answers),
            MeterCommand.MeasureDc => Measure(isAc: false, words, answers),
            MeterCommand.MeasureAc => Measure(isAc: true, words, answers),
            MeterCommand.AskRangeDc => MeterParameters.AskRange(_front.Dc, words, answers),
            MeterCommand.AskRangeAc => MeterParameters.AskRange(_front.Ac, words, answers),
            MeterCommand.AskCycles => MeterParameters.AskCycles(_front.Dc, words, answers),
            _ => Simple(command, answers),
        };
    }

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
        var isDefault = words.Length == 0 || MeterParameters.Is(words[0], "DEF", "DEFault");
        var error = isDefault ? null : MeterParameters.SetRange(settings, words[..1]);
        if (error is null && words.Length == 2 && !MeterParameters.Is(words[1], "DEF", "DEFault"))
        {
            error = MeterParameters.SetResolution(settings, words[1]);
        }

        NoteConfiguration();
        return error;
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
        var isAc = MeterParameters.Is(name, "VOLT:AC", "VOLTage:AC");
        if (!isAc && !MeterParameters.Is(name, "VOLT", "VOLTage") && !MeterParameters.Is(name, "VOLT:DC", "VOLTage:DC"))
        {
            return ScpiError.IllegalParameter;
        }

        _front.IsAc = isAc;
        return null;
    }

    private void NoteConfiguration()
    {
        var settings = _front.Settings;
        var function = _front.IsAc ? "VOLT:AC" : "VOLT";
        _configured =
            $"\"{function} {ScpiNumber.Format(settings.RangeVolts)},{ScpiNumber.Format(settings.CountVolts)}\"";
    }
}
