using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Ports;

/// <summary>The person at the bench, or a script that stands in on a simulated one.</summary>
public interface IOperator
{
    /// <summary>Whether a person answers; a script is accepted only where the bench is proved simulated.</summary>
    bool IsPerson { get; }

    /// <summary>Asks, and waits for the answer.</summary>
    Task<Answer> AskAsync(Question question, CancellationToken cancel);
}

/// <summary>What a person is asked to do or say.</summary>
public enum QuestionKind
{
    /// <summary>Read a caution and acknowledge it by name.</summary>
    Acknowledge,

    /// <summary>Look at something: in order or not.</summary>
    Inspect,

    /// <summary>Yes or no.</summary>
    YesNo,

    /// <summary>Measure or read a number and type it.</summary>
    Number,

    /// <summary>Do something to the unit and say when it is done.</summary>
    Do,
}

/// <summary>What is to be done to the unit, for scripts and pictures; the words are in the question.</summary>
public enum HandAction
{
    /// <summary>Nothing at the unit.</summary>
    None,

    /// <summary>Start the engine, bank open, output disabled.</summary>
    StartEngine,

    /// <summary>Stop the engine.</summary>
    StopEngine,

    /// <summary>Enable the weld output.</summary>
    EnableOutput,

    /// <summary>Disable the weld output.</summary>
    DisableOutput,

    /// <summary>Select the mode named in <see cref="Question.Mode"/>.</summary>
    SelectMode,

    /// <summary>Turn the control to <see cref="Question.Setting"/>.</summary>
    SetControl,

    /// <summary>Read the unit's own ammeter.</summary>
    ReadPanelAmperes,

    /// <summary>Read the unit's own voltmeter.</summary>
    ReadPanelVolts,

    /// <summary>Make the adjustment the text names.</summary>
    Adjust,
}

/// <summary>One question to the operator.</summary>
/// <param name="Number">Number within the run, from 1.</param>
/// <param name="Kind">What kind of answer is wanted.</param>
/// <param name="Action">What is to be done at the unit.</param>
/// <param name="Text">The words.</param>
/// <param name="Mode">Mode to select, if any.</param>
/// <param name="Setting">Setting to make, if any.</param>
/// <param name="Unit">Unit of a number.</param>
public sealed record Question(
    int Number,
    QuestionKind Kind,
    HandAction Action,
    string Text,
    string? Mode,
    Quantity? Setting,
    Unit Unit
);

/// <summary>An answer.</summary>
/// <param name="Yes">Acknowledged, in order, yes, or done; false is a no.</param>
/// <param name="Number">The number, in the unit asked for; null unless a number was asked for.</param>
/// <param name="Remark">Free words, may be empty.</param>
/// <param name="Who">Name of who answered.</param>
public sealed record Answer(bool Yes, double? Number, string Remark, string Who);
