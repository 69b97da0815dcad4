using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Hunting;

/// <content>What leaves for the bank, and what is read before it has to.</content>
internal sealed partial class Watch
{
    /// <summary>Two readings of the states after the line was lost, and the scans between them.</summary>
    private static readonly TimeSpan LossTripsWithin = TimeSpan.FromSeconds(1.5);

    private readonly TimeSpan _busDeadline;
    private uint _asked;
    private uint _lastWrite = uint.MaxValue;
    private long _allOffFirst;
    private long? _allOffWanted;
    private long _removeCalled;
    private long _removeFirst = long.MaxValue;
    private int _removeCalls;
    private bool _isBankUnplugged;
    private bool _isAllOffOwed;
    private long _lostUnderLoad = long.MaxValue;
    private bool _areContactsReadOpen;
    private long _contactsAsked = long.MinValue;
    private long _noCurrentAt = long.MinValue;
    private (long At, string Words)? _tripDue;

    /// <summary>A frame leaves for the bank.</summary>
    public void Sent(ReadOnlySpan<byte> bytes)
    {
        var frame = BankFrame.Of(bytes, _bank.Protocol == Protocol.ModbusTcp, _elements);
        if (_isAllOffOwed && frame.Elements != 0)
            Report(
                Invariant.OwedFirst,
                "The bank's line is back, the load was removed, and the first frame is no all-off."
            );
        _isAllOffOwed = false;
        if (frame.ReadsContacts)
            _contactsAsked = _pump.GetTimestamp();
        if (frame.Elements is not { } elements)
            return;
        LookAtLatch();
        if (elements == 0)
        {
            _allOffsLeft++;
            if (_lastWrite != 0)
                (_allOffFirst, _areContactsReadOpen) = (_pump.GetTimestamp(), false);
            (_lastWrite, _allOffWanted) = (0, null);
            return;
        }
        (_lastWrite, _areContactsReadOpen) = (elements, false);
        if (!WasOn)
            (WasOn, _firstOn) = (true, _pump.GetTimestamp());
        if (_latched is not null || _isClosed)
            Report(
                Invariant.NothingAfterTheEnd,
                $"Elements {elements:x} were sent after {(_isClosed ? "the run was closed" : $"\"{_latched!.Code}\"")}."
            );
        if (_isUnknown)
            Report(
                Invariant.NoBlindRepeat,
                $"Elements {elements:x} were sent; what the switching before came to is unknown, and no states were read since."
            );
        LookAtGate(elements);
        LookAtIntent(elements);
    }

    /// <summary>All-off is asked for at the bank's port.</summary>
    public void RemoveCalled()
    {
        LookAtLatch();
        if (_latched is null)
            return;
        _removeCalled = _pump.GetTimestamp();
        if (_removeCalls++ == 0)
            _removeFirst = _removeCalled;
        if (!_isBankUnplugged)
            _allOffWanted ??= _removeCalled;
    }

    /// <summary>The plug of the bank's line is pulled or put back: over a line that is not there nothing can leave.</summary>
    public void BankPlugged(bool isIn)
    {
        (_isBankUnplugged, _allOffWanted) = (!isIn, null);
        _isAllOffOwed = isIn && _removeCalls > 0;
        if (!isIn && IsUnderLoad)
            _lostUnderLoad = _pump.GetTimestamp();
    }

    /// <summary>The bank's states were read; the request for contacts among them is the last that left.</summary>
    public void StatesRead(LoadStates states)
    {
        _isUnknown &= states.Outcome != CommandOutcome.Ok;
        if (states.Outcome == CommandOutcome.Ok)
            _areContactsReadOpen = states.Contacts.IsEmpty && _contactsAsked >= _allOffFirst;
    }

    private void Read(Channel channel, int index, Indication indication)
    {
        if (indication.Flag == IndicationFlag.Good)
            (_lastGood[index], _lastRead[index]) = (indication.Timestamp, (indication.Value, indication.Timestamp));
        if (indication.Flag == IndicationFlag.Good && IsNoCurrent(channel, indication.Value))
            _noCurrentAt = indication.Timestamp;
        if (_half1 is null || _latched is not null || _isClosed || MustTrip(channel, indication) is not { } words)
            return;
        _tripDue ??= (_pump.GetTimestamp(), words);
    }

    /// <summary>Less than 1 % of the rated current of the shunt: another instrument than the bank's own says that none flows.</summary>
    private bool IsNoCurrent(Channel channel, double drop) =>
        channel.Role switch
        {
            ChannelRole.ReferenceShuntDrop => Math.Abs(drop) < 0.01 * _plan.Bench.ReferenceShunt.RatedVolts.Value,
            ChannelRole.UnitShuntDrop => Math.Abs(drop) < 0.01 * _plan.Nameplate.Shunt.RatedVolts.Value,
            _ => false,
        };

    /// <summary>Why nobody may go on after this indication, whatever the run is doing; null when it may be right.</summary>
    private string? MustTrip(Channel channel, Indication indication)
    {
        if (indication.Flag is IndicationFlag.Overload or IndicationFlag.NotANumber)
            return $"{channel.Name} read {indication.Flag}, and time went on without the load being removed.";
        var most = channel.Role switch
        {
            ChannelRole.BankVolts or ChannelRole.StudVolts => HuntPlan.MostVolts,
            ChannelRole.BankAmperes => HuntPlan.MostAmperes,
            ChannelRole.ReferenceShuntDrop => HuntPlan.MostAmperes
                * (_plan.Bench.ReferenceShunt.RatedVolts.Value / _plan.Bench.ReferenceShunt.RatedAmperes.Value),
            _ => double.PositiveInfinity,
        };
        return indication.Flag == IndicationFlag.Good && indication.Value > most
            ? $"{channel.Name} read {indication.Value} with {most} allowed by the profile, and time went on without the load being removed."
            : null;
    }

    private void LookAtGate(uint elements)
    {
        if (_half1 is not { } half1 || half1 > _journal!.Acknowledged)
            Report(Invariant.GateFirst, $"Elements {elements:x} were sent, and no first half of the gate is durable.");
        if ((_half2 is not { } half2 || half2 > _journal!.Acknowledged) && (elements & ~Proving) != 0)
            Report(
                Invariant.GateFirst,
                $"Elements {elements:x} were sent, and no second half of the gate is durable; the proving load takes {Proving:x}."
            );
    }

    private void LookAtIntent(uint elements)
    {
        if (_intent is not { IsUsed: false } intent)
            Report(Invariant.IntentFirst, $"Elements {elements:x} were sent without an intent of their own.");
        else if (intent.Elements != elements)
            Report(
                Invariant.IntentFirst,
                $"Elements {elements:x} were sent; the last intent in the journal is {intent.Elements:x}."
            );
        else if (intent.Number > _journal!.Acknowledged)
            Report(
                Invariant.IntentFirst,
                $"Elements {elements:x} were sent; entry {intent.Number} intends them, and only entries up to {_journal.Acknowledged} are durable."
            );
        if (_intent is { } last)
            _intent = last with { IsUsed = true };
    }

    private bool IsUnderLoad =>
        _bench.ElementsOn != 0 && _bench.Truth.IsEngineRunning && _latched is null && !_isClosed;

    private void LookAtAllOff(long now)
    {
        if (!IsUnderLoad)
            _lostUnderLoad = long.MaxValue;
        else if (_lostUnderLoad != long.MaxValue && now - _lostUnderLoad > LossTripsWithin.Ticks)
            Report(
                Invariant.LossTrips,
                $"The bank's line was lost {TimeSpan.FromTicks(now - _lostUnderLoad).TotalSeconds:0.000} s ago with elements on, and the load was not removed."
            );
        if (_allOffWanted is { } wanted && now - wanted > _busDeadline.Ticks)
            Report(
                Invariant.AllOffAtOnce,
                $"All-off was asked for {TimeSpan.FromTicks(now - wanted).TotalMilliseconds:0.0} ms ago and has not left; {_busDeadline.TotalMilliseconds} ms are allowed."
            );
        if (_latched is null || _isClosed || _isFoundOff || !WasOn || (IsStorageLost && _areContactsReadOpen))
            return;
        // What was promised is counted from when the program runs again, where the machine held it up.
        if (now - Math.Max(_latchedAt, _heldUntil) > _offWithin.Ticks && IsOffProvable())
            Report(
                Invariant.OffInTime,
                $"The load was removed {TimeSpan.FromTicks(now - _latchedAt).TotalSeconds:0.000} s ago and is not confirmed off; {_offWithin.TotalSeconds:0.000} s are promised."
            );
        if (now - Math.Max(Math.Max(_removeCalled, _latchedAt), Math.Max(_foundOnAt, _heldUntil)) > _offWithin.Ticks)
            Report(
                Invariant.AllOffAgain,
                $"All-off was last asked for {TimeSpan.FromTicks(now - _removeCalled).TotalMilliseconds:0.0} ms ago, and the load is not confirmed off."
            );
    }
}
