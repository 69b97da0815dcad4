namespace LoadTest.Hunting;

/// <content>The output-enable relay: closed by an intent that is durable, and never behind a removal.</content>
internal sealed partial class Watch
{
    private long? _relayIntent;

    /// <summary>A frame leaves for the relay: function 05, address 0, FF 00 closes it (MODBUS application protocol V1.1b3, 6.5).</summary>
    public void SentToRelay(ReadOnlySpan<byte> frame)
    {
        if (frame.Length < 6 || !frame[1..6].SequenceEqual<byte>([0x05, 0x00, 0x00, 0xFF, 0x00]))
            return;
        LookAtLatch();
        if (_latched is not null || _isClosed)
            Report(
                Invariant.NothingAfterTheEnd,
                $"The output-enable relay was closed after {(_isClosed ? "the run was closed" : $"\"{_latched!.Code}\"")}."
            );
        if (_half1 is not { } half1 || half1 > _journal!.Acknowledged)
            Report(
                Invariant.GateFirst,
                "The output-enable relay was closed, and no first half of the gate is durable."
            );
        if (_relayIntent is not { } intent || intent > _journal!.Acknowledged)
            Report(Invariant.IntentFirst, "The output-enable relay was closed without a durable intent of its own.");
        _relayIntent = null;
    }
}
