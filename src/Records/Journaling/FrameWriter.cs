using System.Buffers;
using System.Buffers.Binary;
using System.Security.Cryptography;
using System.Text.Encodings.Web;
using System.Text.Json;
using LoadTest.Sequencer.Journal;

namespace LoadTest.Records.Journaling;

/// <summary>Turns entries into chained frames, one after the other; no file behind it.</summary>
internal sealed class FrameWriter : IDisposable
{
    private static readonly JsonWriterOptions s_options = new()
    {
        // The journal is a file of its own and never pasted into a page: Ω stays Ω.
        Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
        SkipValidation = true,
    };

    private readonly byte[] _head = new byte[JournalFormat.HashLength];

    // Previous hash and payload side by side, as they are hashed.
    private readonly ArrayBufferWriter<byte> _chained = new(1024);
    private readonly Utf8JsonWriter _json;
    private byte[] _frame = new byte[1024];

    /// <summary>Starts a chain with the hash of nothing: 32 zero bytes.</summary>
    public FrameWriter() => _json = new Utf8JsonWriter(_chained, s_options);

    /// <summary>Goes on with a chain that was read.</summary>
    /// <param name="head">Hash of its last frame, hexadecimal.</param>
    /// <param name="count">How many frames it has.</param>
    public FrameWriter(string head, long count)
        : this()
    {
        Convert.FromHexString(head).CopyTo(_head, 0);
        Count = count;
    }

    /// <summary>How many frames were made.</summary>
    public long Count { get; private set; }

    /// <summary>Hash of the last frame; 32 zero bytes before the first.</summary>
    public ReadOnlySpan<byte> Head => _head;

    /// <summary>The next frame, valid until the next call.</summary>
    /// <exception cref="ArgumentException">The entry cannot be written: a number is not finite, or it is too long.</exception>
    public ReadOnlySpan<byte> Next(JournalEntry entry)
    {
        _chained.ResetWrittenCount();
        _head.CopyTo(_chained.GetSpan(JournalFormat.HashLength));
        _chained.Advance(JournalFormat.HashLength);
        _json.Reset(_chained);
        EntryWriter.Write(_json, entry);
        _json.Flush();
        var chained = _chained.WrittenSpan;
        var payload = chained[JournalFormat.HashLength..];
        if (payload.Length > JournalFormat.LongestPayload)
        {
            throw new ArgumentException(
                $"{entry.GetType().Name} takes {payload.Length} bytes; a frame holds at most {JournalFormat.LongestPayload}.",
                nameof(entry)
            );
        }
        return Frame(chained, payload);
    }

    /// <inheritdoc/>
    public void Dispose() => _json.Dispose();

    private ReadOnlySpan<byte> Frame(ReadOnlySpan<byte> chained, ReadOnlySpan<byte> payload)
    {
        var length = JournalFormat.HeaderLength + payload.Length + JournalFormat.HashLength;
        if (_frame.Length < length)
            _frame = new byte[length * 2];
        var frame = _frame.AsSpan(0, length);
        BinaryPrimitives.WriteUInt32LittleEndian(frame, (uint)payload.Length);
        BinaryPrimitives.WriteUInt32LittleEndian(frame[4..], JournalFormat.Checksum(payload));
        payload.CopyTo(frame[JournalFormat.HeaderLength..]);
        SHA256.HashData(chained, _head);
        _head.CopyTo(frame[^JournalFormat.HashLength..]);
        Count++;
        return frame;
    }
}
