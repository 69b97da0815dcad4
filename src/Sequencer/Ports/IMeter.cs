using System.Collections.Immutable;

namespace LoadTest.Sequencer.Ports;

/// <summary>An instrument that reads; a load bank with meters of its own is one too.</summary>
public interface IMeter
{
    /// <summary>Id of the instrument on the bench.</summary>
    string Name { get; }

    /// <summary>Asks the instrument who it is and compares with definition and bench file.</summary>
    Task<IdentityReply> IdentifyAsync(CancellationToken cancel);

    /// <summary>Sets every input as its definition says, reads the settings back, and proves the error queue empty.</summary>
    Task<CommandResult> ConfigureAsync(CancellationToken cancel);

    /// <summary>Reads some inputs, in one transaction where the protocol allows.</summary>
    /// <param name="inputs">Names from the definition; a fixed array per caller, so that adapters may prepare it once.</param>
    /// <param name="cancel">Gives up waiting.</param>
    /// <returns>One indication for each input, in the order asked, always; what could not be read is flagged.</returns>
    Task<ImmutableArray<Indication>> ReadAsync(ImmutableArray<string> inputs, CancellationToken cancel);
}

/// <summary>What an instrument said it is.</summary>
/// <param name="Result">Ok when it is the one the bench file names.</param>
/// <param name="Said">Its own words: the identification reply, or the known value and serial number read.</param>
public sealed record IdentityReply(CommandResult Result, string Said)
{
    /// <summary>Whether the register of known value could not be read or holds another: a wrong map rather than another instrument.</summary>
    public bool IsWrongMap { get; init; }
}

/// <summary>What an indication is worth.</summary>
public enum IndicationFlag
{
    /// <summary>A finite number in the input's unit.</summary>
    Good,

    /// <summary>The instrument said overload; the value is not a number and is not used.</summary>
    Overload,

    /// <summary>The instrument said not-a-number, or sent what is none.</summary>
    NotANumber,

    /// <summary>No reply that belongs to the request came in time.</summary>
    Missing,
}

/// <summary>One indication of one input.</summary>
/// <param name="Value">Value in the input's unit; zero and meaningless unless good.</param>
/// <param name="Flag">What it is worth.</param>
/// <param name="Timestamp">Pump timestamp of the reply's last byte; of the deadline when missing.</param>
public readonly record struct Indication(double Value, IndicationFlag Flag, long Timestamp);
