using LoadTest.Records.Journaling;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Hunting;

/// <content>What the journal says, held against what was sent and what is so.</content>
internal sealed partial class Watch
{
    /// <summary>From here on a number is a flag (SCPI-99, 7.2.1.4 and 7.2.1.5: 9.9E37, 9.91E37).</summary>
    private const double LeastFlag = 1e37;

    private JournalWriter? _journal;
    private long? _half1;
    private long? _half2;
    private (long Number, uint Elements, bool IsUsed)? _intent;
    private bool _isClosed;
    private bool _isFoundOff;
    private long _foundOnAt;
    private int _removals;
    private TimeSpan _lastEntryAt = TimeSpan.MinValue;
    private bool _isUnknown;

    /// <summary>The journal that tells what is durable.</summary>
    public void Keep(JournalWriter journal) => _journal = journal;

    /// <summary>An entry was appended.</summary>
    public void Appended(long number, JournalEntry entry)
    {
        LookAtLatch();
        if (entry.At < _lastEntryAt)
            Report(Invariant.TimeGoesOn, $"{entry.GetType().Name} at {entry.At} follows an entry at {_lastEntryAt}.");
        _lastEntryAt = entry.At;
        if (entry is OffJudged judged)
            LookAtFacts(judged);
        switch (entry)
        {
            case RunOpened:
                _runOpened = _pump.GetTimestamp();
                break;
            case SwitchEnded ended:
                _isUnknown = ended.Result.Outcome == CommandOutcome.Unknown;
                break;
            case Scanned scanned:
                LookAtReadings(scanned);
                break;
            case GatePassed { Half: 1 }:
                _half1 = number;
                break;
            case GatePassed:
                _half2 = number;
                break;
            case OutputIntended { IsOn: true }:
                _relayIntent = number;
                break;
            case SwitchIntended intended:
                _asked |= intended.Elements.Mask;
                _intent = (number, intended.Elements.Mask, intended.Elements.IsEmpty);
                break;
            case LoadRemoved removed:
                LookAtRemoval(removed);
                break;
            case Tripped or Stopped when _removeCalls == 0:
                Report(
                    Invariant.IntentFirst,
                    $"The journal says {entry.GetType().Name} and all-off was not asked for."
                );
                break;
            case LoadOff { IsConfirmed: true } off:
                LookAtOff(off.Words);
                _isFoundOff = true;
                break;
            case LoadOff:
                (_isFoundOff, _foundOnAt) = (false, _pump.GetTimestamp());
                break;
            case RunClosed closed:
                (_isClosed, _closedAt) = (true, _pump.GetTimestamp());
                LookAtEnd(closed);
                break;
        }
        After();
    }

    private uint Proving
    {
        get
        {
            var mask = 0u;
            foreach (var step in _plan.Steps)
            {
                if (step is EnergiseStepPlan energise)
                    mask |=
                        energise.Proving.Elements.Mask | energise.Proving.Switching.Aggregate(0u, (m, s) => m | s.Mask);
            }
            return mask;
        }
    }

    private void LookAtReadings(Scanned scanned)
    {
        foreach (var reading in scanned.Readings)
        {
            if (reading.Flag == IndicationFlag.Good && !(Math.Abs(reading.Value) < LeastFlag))
                Report(Invariant.GoodIsANumber, $"A good reading of channel {reading.Channel} is {reading.Value}.");
        }
    }

    private void LookAtRemoval(LoadRemoved removed)
    {
        if (_removeCalls == 0)
            Report(Invariant.IntentFirst, "The journal says that the load was removed, and all-off was not asked for.");
        if (++_removals > 1)
            Report(Invariant.FirstCauseStays, $"The journal says for the {_removals}. time that the load was removed.");
        if (removed.Cause != _latched)
            Report(
                Invariant.FirstCauseStays,
                $"The journal says \"{removed.Cause.Code}\" removed the load; the latch holds \"{_latched?.Code}\"."
            );
    }

    /// <summary>Off may be said: sent, read back since, no current by another instrument since, and really no contactor closed.</summary>
    private void LookAtOff(string words)
    {
        var on = _bench.ElementsOn;
        if (on != 0)
            Report(Invariant.OffMeansOff, $"\"{words}\": contactors {on:x} are closed.");
        if (!WasOn)
            return;
        if (_lastWrite != 0)
            Report(Invariant.OffMeansOff, $"\"{words}\": the last command to the bank was elements {_lastWrite:x}.");
        else if (!_areContactsReadOpen)
            Report(Invariant.OffMeansOff, $"\"{words}\": the contacts were not read open since all-off was sent.");
        else if (_noCurrentAt < Math.Min(_allOffFirst, _removeFirst))
            Report(
                Invariant.OffMeansOff,
                $"\"{words}\": no shunt showed the current gone since all-off was asked for."
            );
    }
}
