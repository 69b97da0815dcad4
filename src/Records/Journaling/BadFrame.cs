using LoadTest.Sequencer.Text;

namespace LoadTest.Records.Journaling;

/// <summary>What is wrong with a frame.</summary>
public enum BadFrameCause
{
    /// <summary>The file ends inside it.</summary>
    Truncated,

    /// <summary>Its length is beyond what is ever written.</summary>
    Length,

    /// <summary>Its payload does not match its CRC-32C.</summary>
    Checksum,

    /// <summary>Its hash does not follow from the frame before and its payload.</summary>
    Chain,

    /// <summary>Its payload is not an entry as the writer writes it.</summary>
    Payload,

    /// <summary>It stands where it cannot: a journal begins with "run opened" and nothing follows "run closed".</summary>
    Order,
}

/// <summary>The first frame of a journal that cannot be trusted; nothing after it is read.</summary>
/// <param name="Number">Its number, from 0.</param>
/// <param name="Offset">Byte of the file where it begins.</param>
/// <param name="Cause">What is wrong.</param>
/// <param name="Detail">What was found and what was expected.</param>
public sealed record BadFrame(long Number, long Offset, BadFrameCause Cause, string Detail)
{
    /// <summary>One sentence for a person.</summary>
    public override string ToString() => $"Frame {Number} (byte {Offset} of the journal): {SentenceText.Of(Detail)}";
}
