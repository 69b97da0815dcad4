using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Benches;

/// <summary>What a retry may repeat by itself; a command that may energise never is.</summary>
public enum MayRepeat
{
    /// <summary><c>nothing</c>: one question, one answer or none.</summary>
    Nothing,

    /// <summary><c>damaged reads</c>: a read whose reply came with a wrong check is asked once more.</summary>
    DamagedReads,
}

/// <summary>A setting made at the gate and read back.</summary>
/// <param name="Name">What it is called.</param>
/// <param name="Value">What it is set to.</param>
/// <param name="Register">Of a Modbus instrument: the holding register.</param>
/// <param name="Set">Of a text instrument: how it is set; its field is <c>value</c>.</param>
/// <param name="Ask">Of a text instrument: how it is read back.</param>
public sealed record DeviceSetting(
    string Name,
    double Value,
    RegisterText? Register,
    TextExchange? Set,
    TextExchange? Ask,
    Place Place
);

/// <summary>A flag by which an instrument says that something is wrong with it.</summary>
/// <param name="Name">What it is called.</param>
/// <param name="Means">What to do when it is up, in words.</param>
/// <param name="Register">Of a Modbus instrument: a bit, or a register of which <paramref name="Bit"/> counts.</param>
/// <param name="Ask">Of a text instrument: a question with the field <c>flags</c>.</param>
/// <param name="Bit">Which bit of the value, from 0.</param>
public sealed record ErrorFlag(
    string Name,
    string Means,
    RegisterText? Register,
    TextExchange? Ask,
    int Bit,
    Place Place
);

/// <summary>What a relay is for.</summary>
public enum RelayRole
{
    /// <summary><c>output enable</c>: closed, it lets the unit give output.</summary>
    OutputEnable,

    /// <summary><c>other</c>: anything else; the sequencer leaves it alone.</summary>
    Other,
}

/// <summary>A relay an instrument switches.</summary>
/// <param name="Name">What it is called.</param>
/// <param name="Role">What it is for.</param>
/// <param name="Coil">Of a Modbus instrument: its coil.</param>
/// <param name="Contact">Of a Modbus instrument: the bit that says it is really closed; null when it has none.</param>
/// <param name="Set">Of a text instrument: how it is switched; its field is <c>on</c>.</param>
/// <param name="Ask">Of a text instrument: how its contact is read; its field is <c>on</c>.</param>
public sealed record Relay(
    string Name,
    RelayRole Role,
    RegisterText? Coil,
    RegisterText? Contact,
    TextExchange? Set,
    TextExchange? Ask,
    Place Place
);

/// <summary>An analogue output that sets the unit's control from afar.</summary>
/// <param name="Name">What it is called.</param>
/// <param name="Unit">Unit of its value.</param>
/// <param name="Least">Least value it is ever set to; also where it rests.</param>
/// <param name="Most">Largest value it is ever set to.</param>
/// <param name="Within">How far what it reads back may lie from what was set.</param>
/// <param name="Register">Of a Modbus instrument: where it is set.</param>
/// <param name="ReadBack">Of a Modbus instrument: where what it gives is measured.</param>
/// <param name="Set">Of a text instrument: how it is set; its field is <c>value</c>.</param>
/// <param name="Ask">Of a text instrument: how it is read back; its field is <c>value</c>.</param>
public sealed record RemoteSetter(
    string Name,
    Unit Unit,
    double Least,
    double Most,
    double Within,
    RegisterText? Register,
    RegisterText? ReadBack,
    TextExchange? Set,
    TextExchange? Ask,
    Place Place
);

/// <summary>How a bank on a text protocol is switched and asked.</summary>
/// <param name="Switch">Switches the elements to a set, all with one line; its field is <c>elements</c>.</param>
/// <param name="States">Asks for <c>commanded</c> and <c>closed</c>, and what of <c>air</c>, <c>hot</c> and <c>healthy</c> there is.</param>
/// <param name="Fan">Runs and stops the fan, field <c>on</c>; null when it follows the bank.</param>
/// <param name="SetWatchdog">Sets the communication watchdog, field <c>seconds</c>; null when there is none.</param>
/// <param name="AskWatchdog">Reads it back.</param>
public sealed record TextSwitching(
    TextExchange Switch,
    TextExchange States,
    TextExchange? Fan,
    TextExchange? SetWatchdog,
    TextExchange? AskWatchdog
);
