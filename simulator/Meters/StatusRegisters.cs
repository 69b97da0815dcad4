namespace LoadTest.Simulator.Meters;

/// <summary>Event status, enables and the status byte.</summary>
/// <remarks>IEEE 488.2 chapter 11 as SCPI-99 uses it: status byte bit 2 error queue, 3 QUEStionable, 5 event summary, 6 master
/// summary, 7 OPERation. Message available is never set: an answer leaves as soon as it is made.</remarks>
internal sealed class StatusRegisters(ErrorQueue errors)
{
    public const int PowerOn = 1 << 7;
    public const int OperationComplete = 1;
    public const int VoltageQuestionable = 1;

    private int _events = PowerOn;
    private int _questionable;

    public int EventEnable { get; set; }
    public int ServiceEnable { get; set; }
    public int QuestionableEnable { get; set; }
    public int OperationEnable { get; set; }
    public int QuestionableCondition { get; private set; }

    public void Report(ScpiError error)
    {
        errors.Add(error);
        _events |= error.EventBit;
        if (errors.Count > 0 && error.EventBit == 0)
        {
            _events |= ScpiError.QueueOverflow.EventBit;
        }
    }

    public void CompleteOperations() => _events |= OperationComplete;

    public void SetVoltageQuestionable(bool on)
    {
        QuestionableCondition = on ? VoltageQuestionable : 0;
        _questionable |= QuestionableCondition;
    }

    public int TakeEvents()
    {
        var events = _events;
        _events = 0;
        return events;
    }

    public int TakeQuestionable()
    {
        var events = _questionable;
        _questionable = 0;
        return events;
    }

    /// <summary>The status byte with its master summary.</summary>
    public int StatusByte()
    {
        var summary =
            (errors.Count > 0 ? 1 << 2 : 0)
            | ((_questionable & QuestionableEnable) != 0 ? 1 << 3 : 0)
            | ((_events & EventEnable) != 0 ? 1 << 5 : 0);
        return (summary & ServiceEnable) != 0 ? summary | 1 << 6 : summary;
    }

    /// <summary>*CLS: events and errors are forgotten, enables stay.</summary>
    public void Clear()
    {
        _events = 0;
        _questionable = 0;
        errors.Clear();
    }

    /// <summary>After power-up.</summary>
    public void Restart()
    {
        Clear();
        _events = PowerOn;
        EventEnable = ServiceEnable = QuestionableEnable = OperationEnable = 0;
        QuestionableCondition = 0;
    }
}
