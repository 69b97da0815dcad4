using System.Buffers.Binary;
using System.Diagnostics.CodeAnalysis;
using System.Security.Cryptography;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Text;

namespace LoadTest.Records.Journaling;

/// <summary>Reads a journal frame by frame and stops at the first one that cannot be trusted.</summary>
/// <remarks>No bytes make it throw; memory is bounded by the longest frame. An error of the stream itself does throw.</remarks>
public sealed class JournalReader
{
    private readonly Stream _stream;
    private readonly byte[] _header = new byte[JournalFormat.HeaderLength];
    private readonly byte[] _expected = new byte[JournalFormat.HashLength];

    // Previous hash, payload and the frame's own hash, side by side.
    private byte[] _buffer = new byte[4096];
    private bool _isAtEnd;

    /// <summary>Reads from the stream's present position.</summary>
    public JournalReader(Stream stream) => _stream = stream;

    /// <summary>Number of frames read and trusted.</summary>
    public long Count { get; private set; }

    /// <summary>Bytes of the trusted frames.</summary>
    public long Length { get; private set; }

    /// <summary>Hash of the last trusted frame, lower-case hexadecimal; zeros before the first.</summary>
    public string Head => Convert.ToHexStringLower(_buffer.AsSpan(0, JournalFormat.HashLength));

    /// <summary>The frame that ended the reading; null while all is well, and at a clean end.</summary>
    public BadFrame? Bad { get; private set; }

    /// <summary>Format the first entry names; 0 before it is read.</summary>
    public int Format { get; private set; }

    /// <summary>Whether "run closed" was read.</summary>
    public bool IsClosed { get; private set; }

    /// <summary>Reads the next entry; false at the end or at a bad frame.</summary>
    public bool Next([NotNullWhen(true)] out JournalEntry? entry)
    {
        entry = null;
        if (_isAtEnd || !ReadFrame(out var length))
        {
            _isAtEnd = true;
            return false;
        }
        var payload = _buffer.AsSpan(JournalFormat.HashLength, length);
        entry = Decode(payload);
        if (entry is null || !IsInOrder(entry))
        {
            _isAtEnd = true;
            entry = null;
            return false;
        }
        _expected.CopyTo(_buffer, 0);
        Count++;
        Length += JournalFormat.HeaderLength + length + JournalFormat.HashLength;
        IsClosed = entry is RunClosed;
        return true;
    }

    // Header, then payload and hash behind the previous hash; false at a clean end or when the frame is bad.
    private bool ReadFrame(out int length)
    {
        length = 0;
        var got = _stream.ReadAtLeast(_header, _header.Length, throwOnEndOfStream: false);
        if (got == 0)
            return false;
        if (got < _header.Length)
            return Fail(BadFrameCause.Truncated, $"the file ends after {got} of its {_header.Length} header bytes");
        var claimed = BinaryPrimitives.ReadUInt32LittleEndian(_header);
        if (claimed is 0 or > JournalFormat.LongestPayload)
        {
            return Fail(
                BadFrameCause.Length,
                $"its length says {claimed} bytes; 1 to {JournalFormat.LongestPayload} are possible"
            );
        }
        length = (int)claimed;
        var rest = length + JournalFormat.HashLength;
        if (_buffer.Length < JournalFormat.HashLength + rest)
            Array.Resize(ref _buffer, JournalFormat.HashLength + rest);
        got = _stream.ReadAtLeast(_buffer.AsSpan(JournalFormat.HashLength, rest), rest, throwOnEndOfStream: false);
        return got < rest
            ? Fail(BadFrameCause.Truncated, $"the file ends after {got} of the {rest} bytes of its payload and hash")
            : IsIntact(length);
    }

    private bool IsIntact(int length)
    {
        var found = JournalFormat.Checksum(_buffer.AsSpan(JournalFormat.HashLength, length));
        var written = BinaryPrimitives.ReadUInt32LittleEndian(_header.AsSpan(4));
        if (found != written)
        {
            return Fail(
                BadFrameCause.Checksum,
                $"its payload has CRC-32C {found:x8}, its header says {written:x8}; bytes were changed"
            );
        }
        SHA256.HashData(_buffer.AsSpan(0, JournalFormat.HashLength + length), _expected);
        var hash = _buffer.AsSpan(JournalFormat.HashLength + length, JournalFormat.HashLength);
        return hash.SequenceEqual(_expected)
            || Fail(
                BadFrameCause.Chain,
                "its hash does not follow from the frame before it; a frame was changed, removed, added or moved"
            );
    }

    private JournalEntry? Decode(ReadOnlySpan<byte> payload)
    {
        if (Count == 0)
            Format = EntryReader.Format(payload) ?? 0;
        // Of a newer format nothing may be taken for what it seems; that the chain holds can still be said.
        if (Format > JournalFormat.Version)
            return new NewerEntry(
                TimeSpan.Zero,
                $"journal format {Format}, this one knows 1 to {JournalFormat.Version}"
            );
        try
        {
            return EntryReader.Read(payload);
        }
        catch (FormatException e)
        {
            Fail(BadFrameCause.Payload, $"its payload is not an entry: {SentenceText.Clause(e)}");
        }
        return null;
    }

    private bool IsInOrder(JournalEntry entry)
    {
        if (Count == 0 && entry is not RunOpened && Format <= JournalFormat.Version)
            return Fail(BadFrameCause.Order, "it is the first and not \"run opened\"");
        if (Count > 0 && entry is RunOpened)
            return Fail(BadFrameCause.Order, "a run was opened already");
        return !IsClosed || Fail(BadFrameCause.Order, "the run was closed by the frame before it");
    }

    private bool Fail(BadFrameCause cause, string detail)
    {
        Bad = new BadFrame(Count, Length, cause, detail);
        return false;
    }
}
