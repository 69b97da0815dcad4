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
)
{
    /// <summary>The display it is read on, of a number read with a known meter; null otherwise.</summary>
    public Display? Display { get; init; }
}

/// <summary>What a meter's display can show, in the unit of the question.</summary>
/// <param name="Range">Largest magnitude, above zero.</param>
/// <param name="Resolution">Smallest step, above zero.</param>
public sealed record Display(double Range, double Resolution)
{
    /// <summary>Why a value cannot have been read on this display; null when it can.</summary>
    /// <param name="value">The value.</param>
    /// <param name="unit">Its unit, the display's own.</param>
    /// <remarks>
    /// A reading beyond the range, or with digits the display does not have, is a slip of the pen or of the range switch. On a
    /// 600 V range with 0.1 V resolution 72.4 V is taken, 724 V and 72.43 V are not.
    /// </remarks>
    public string? Objection(double value, Unit unit)
    {
        if (Math.Abs(value) > Range)
            return $"{UnitText.Show(value, unit)} is beyond the range, {UnitText.Show(Range, unit)}. Check the range switch, the prefix and the decimal point.";
        var steps = value / Resolution;
        return Math.Abs(steps - Math.Round(steps)) > 1e-6 * Math.Max(1, Math.Abs(steps))
            ? $"{UnitText.Show(value, unit)} has digits this display does not show on that range; its steps are {UnitText.Show(Resolution, unit)}. Read it again."
            : null;
    }
}

/// <summary>An answer.</summary>
/// <param name="Yes">Acknowledged, in order, yes, or done; false is a no.</param>
/// <param name="Number">The number, in the unit asked for; null unless a number was asked for.</param>
/// <param name="Remark">Free words, may be empty.</param>
/// <param name="Who">Name of who answered.</param>
public sealed record Answer(bool Yes, double? Number, string Remark, string Who)
{
    /// <summary>The number as it was typed, to the letter; null when none was typed. 9.0 says more than 9.</summary>
    public string? Typed { get; init; }
}
