using System.Runtime.InteropServices;
using LoadTest.Records.Journaling;
using LoadTest.Records.Verifying;
using LoadTest.Sequencer.Journal;

namespace LoadTest.Hunting;

/// <content>How a run ends.</content>
internal sealed partial class Watch
{
    /// <summary>The last entry: what it says of bank and cause is so.</summary>
    private void LookAtEnd(RunClosed closed)
    {
        LookAtInstruction(closed);
        if (WasOn && closed.Bank == BankEnd.NeverEnergised)
            Report(Invariant.OffMeansOff, "The journal says the bank was never energised; elements were sent on.");
        // With the plug pulled nothing can be sent, or it waits for the bus: then the record has to say that off is not confirmed.
        var isOutOfReach =
            (_isBankUnplugged || _allOffWanted is not null)
            && closed.Bank == BankEnd.OffNotConfirmed
            && _removeCalls > 0;
        if (WasOn && _lastWrite != 0 && !isOutOfReach)
            Report(
                Invariant.OffMeansOff,
                $"The run was closed with elements {_lastWrite:x} as the last command to the bank."
            );
        if (closed.Bank != BankEnd.OffNotConfirmed && _bench.ElementsOn is not 0 and var on)
            Report(Invariant.OffMeansOff, $"The journal says {closed.Bank}; contactors {on:x} are closed.");
        if (closed.Bank == BankEnd.Off && !_isFoundOff && !(IsStorageLost && _areContactsReadOpen))
            Report(Invariant.OffMeansOff, "The journal says that the bank is off, and nothing in it found it so.");
        if (_latched is { } cause && closed.Outcome != Outcome.Interrupted && closed.Code != cause.Code)
            Report(
                Invariant.FirstCauseStays,
                $"The run was closed with \"{closed.Code}\"; \"{cause.Code}\" removed the load first."
            );
        if (_latched is not null && closed.Outcome == Outcome.Complete)
            Report(
                Invariant.FirstCauseStays,
                $"The run was closed as complete; \"{_latched.Code}\" had removed the load."
            );
    }

    /// <summary>The run has ended; storage that was lost may have kept its last entry from being written.</summary>
    public void Closed(RunClosed closed)
    {
        if (_isClosed)
            return;
        (_isClosed, _closedAt) = (true, _pump.GetTimestamp());
        LookAtEnd(closed);
    }

    /// <summary>After the run: journal read back, and nothing came on by itself since.</summary>
    /// <param name="closed">What the run said of its end.</param>
    /// <param name="bytes">Every byte of the journal.</param>
    /// <param name="isHealthy">Whether nothing went wrong.</param>
    public void Over(RunClosed closed, ReadOnlyMemory<byte> bytes, bool isHealthy)
    {
        After();
        if (closed.Bank != BankEnd.OffNotConfirmed && _bench.ElementsOn is not 0 and var on)
            Report(
                Invariant.OffMeansOff,
                $"The journal says {closed.Bank}; contactors {on:x} are closed after the end."
            );
        LookAtJournal(closed, bytes);
        if (isHealthy && closed is not { Outcome: Outcome.Complete, Bank: BankEnd.Off })
            Report(Invariant.Healthy, $"It ended {closed.Outcome} {closed.Code}, bank {closed.Bank}: {closed.Detail}");
    }

    /// <summary>What is durable, with what memory kept once storage was lost, is the whole journal to its last entry.</summary>
    private void LookAtJournal(RunClosed closed, ReadOnlyMemory<byte> bytes)
    {
        using var whole = IsStorageLost
            ? new MemoryStream([.. bytes.Span[..Durable(bytes)], .. _journal!.Rest.Span], writable: false)
            : Reading(bytes);
        var contents = JournalContents.Read(whole);
        if (contents.Bad is { } bad)
            Report(Invariant.Journal, $"Frame {bad.Number} of the journal cannot be trusted: {bad.Detail}.");
        else if (!contents.IsClosed)
            Report(Invariant.Journal, "The journal, with what was kept in memory, does not say how the run ended.");
        else if (!IsStorageLost && contents.Entries[^1] != closed)
            Report(Invariant.Journal, $"The journal does not end with {closed.Outcome} {closed.Code}.");
        else if (_journal!.Rest.Length > 0 && closed.Outcome != Outcome.Interrupted)
            Report(Invariant.Journal, $"Storage was lost, and the run says {closed.Outcome} {closed.Code}.");
        // The plan embedded is the plan run: tests show that; working it out again for every seed would cost a tenth of the hunt.
        if (BytesAnswer.Of(contents, _plan).Broken is [var breach, ..])
            Report(Invariant.Lawful, breach.ToString());
    }

    // Over the bytes where they are: a copy of each journal would be most of what a seed allocates.
    private static MemoryStream Reading(ReadOnlyMemory<byte> bytes) =>
        MemoryMarshal.TryGetArray(bytes, out var segment)
            ? new MemoryStream(segment.Array!, segment.Offset, segment.Count, writable: false)
            : new MemoryStream(bytes.ToArray(), writable: false);

    /// <summary>Length of the frames that were acknowledged.</summary>
    private int Durable(ReadOnlyMemory<byte> bytes)
    {
        using var stream = Reading(bytes);
        var reader = new JournalReader(stream);
        while (reader.Count <= _journal!.Acknowledged && reader.Next(out _)) { }
        return (int)reader.Length;
    }
}
