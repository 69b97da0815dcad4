using System.Collections.Immutable;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Sequencer.Engine;

/// <content>Readings: the trip decision first, before anything else sees them.</content>
internal sealed partial class Turn
{
    /// <summary>Volts and amperes further apart than a scan and a half say nothing about conductance.</summary>
    private static readonly TimeSpan Simultaneous = RunMachine.ScanPeriod * 1.5;

    private void OnReadings(ImmutableArray<Reading> arrived)
    {
        var readings = TripCheck.Flagged(arrived);
        State = State with { Scan = State.Scan.AddRange(readings) };
        if (!State.IsScanning)
            return;
        RemovalCause? cause = null;
        var good = State.LastGood.ToBuilder();
        var same = State.Same.ToBuilder();
        foreach (var reading in readings)
        {
            var k = reading.Channel;
            if (reading.Flag == IndicationFlag.Good)
            {
                var isSame = reading.Value.Equals(good[k].Value);
                same[k] = isSame ? same[k] with { Count = same[k].Count + 1 } : new Sameness(1, reading.At);
                good[k] = reading;
            }
            cause ??= State.Phase == RunPhase.Removing ? JudgeLater(reading) : Judge(reading, same[k]);
        }
        State = State with { LastGood = good.MoveToImmutable(), Same = same.MoveToImmutable() };
        if (State.Phase == RunPhase.Stepping && (cause ?? JudgeConductance(readings)) is { } first)
        {
            Remove(first, first.Code == "POLARITY" ? AtTheGate : Outcome.Tripped);
            return;
        }
        if (cause is not null)
            RemarkOnce(cause);
        foreach (var reading in readings)
        {
            if (reading.Flag == IndicationFlag.Good)
                OnGoodReading(reading);
        }
    }

    private RemovalCause? Judge(Reading reading, Sameness same)
    {
        if (reading.Flag == IndicationFlag.Missing)
            return null;
        var channel = Channel(reading.Channel);
        if (TripCheck.Flag(channel, reading.Flag) is { } cause)
            return cause;
        if (State.Limits is not { } limits)
            return null;
        return JudgeLimits(channel, reading, limits)
            ?? TripCheck.Frozen(channel, ChannelError.Input(plan.Bench, channel), reading.Value, same, reading.At);
    }

    /// <summary>
    /// What is a cause of its own though the load was removed: more current than allowed, or what is no number. Volts that rise when
    /// the load goes, or fall when the engine is stopped as asked, digits that stand at zero and a conductance of nothing are the
    /// removal's own effect.
    /// </summary>
    private RemovalCause? JudgeLater(Reading reading)
    {
        var channel = Channel(reading.Channel);
        return reading.Flag switch
        {
            IndicationFlag.Missing => null,
            IndicationFlag.Overload when !NoCurrent.IsSensor(channel.Role) => null,
            IndicationFlag.Good => State.Limits is { } limits ? JudgeMost(channel, reading.Value, limits) : null,
            _ => TripCheck.Flag(channel, reading.Flag),
        };
    }

    private RemovalCause? JudgeMost(Channel channel, double value, TripLimits limits)
    {
        double? amperes = channel.Role switch
        {
            ChannelRole.BankAmperes => value,
            ChannelRole.ReferenceShuntDrop => ReferenceAmperes(value),
            _ => null,
        };
        return amperes > limits.Amperes.Upper ? TripCheck.Amperes(channel, amperes.Value, limits) : null;
    }

    private RemovalCause? JudgeLimits(Channel channel, Reading reading, TripLimits limits) =>
        channel.Role switch
        {
            ChannelRole.BankVolts or ChannelRole.StudVolts => TripCheck.Volts(channel, reading.Value, limits)
                ?? TripCheck.Source(channel, reading.Value, State.LeastVolts),
            ChannelRole.BankAmperes => TripCheck.Amperes(channel, reading.Value, limits),
            ChannelRole.ReferenceShuntDrop => TripCheck.Amperes(channel, ReferenceAmperes(reading.Value), limits),
            _ => TripCheck.Side(channel, reading.Value, limits),
        };

    /// <summary>Amperes over volts at the fast sense points, when one of them is new and the other as good as new.</summary>
    private RemovalCause? JudgeConductance(ImmutableArray<Reading> readings)
    {
        if (State.Limits is not { } limits || FastPair is not { } pair)
            return null;
        var isNew = false;
        foreach (var reading in readings)
            isNew |= reading == pair.Volts || reading == pair.Amperes;
        return isNew && (pair.Volts.At - pair.Amperes.At).Duration() <= Simultaneous
            ? TripCheck.Conductance(pair.Volts.Value, Amperes(pair.Amperes), limits, State.BeforeStep)
            : null;
    }

    /// <summary>The last good readings of the fast sense points; null when one of them has read nothing.</summary>
    private (Reading Volts, Reading Amperes)? FastPair =>
        (LastFast(ChannelRole.BankVolts) ?? LastFast(ChannelRole.StudVolts)) is { } volts
        && (LastFast(ChannelRole.BankAmperes) ?? LastFast(ChannelRole.ReferenceShuntDrop)) is { } amperes
            ? (volts, amperes)
            : null;

    private Reading? LastFast(ChannelRole role) => LastGood(role, isFast: true);

    private double Amperes(Reading reading) =>
        Channel(reading.Channel).Role == ChannelRole.ReferenceShuntDrop
            ? ReferenceAmperes(reading.Value)
            : reading.Value;

    /// <summary>Trips when a channel's last good reading is older than it may be; true when it did.</summary>
    private bool CheckAges()
    {
        if (!State.IsScanning)
            return false;
        for (var k = 0; k < State.LastGood.Length; k++)
        {
            var isOfBank = Channel(k).InstrumentId == plan.Bench.Bank.InstrumentId;
            if (State.IsBankQuiet && isOfBank)
                continue;
            // A bank that was left alone on purpose has the full time from when it is spoken to again; what it read keeps its own time.
            var at = State.LastGood[k].At;
            var since = isOfBank && State.BankSpokenTo > at ? State.BankSpokenTo : at;
            if (TripCheck.Age(Channel(k), now - since) is { } cause)
            {
                Remove(cause, Outcome.Tripped);
                return true;
            }
        }
        return false;
    }

    private void OnGoodReading(Reading reading)
    {
        if (State.Phase == RunPhase.Removing)
        {
            if (NoCurrent.IsSensor(Channel(reading.Channel).Role))
                WeighRemoval();
            return;
        }
        if (State.Phase != RunPhase.Stepping)
            return;
        NoteShown(reading);
        OnHeatReading(reading);
        if (CurrentAct is not JudgingAct act)
            OnExpectedReading(reading);
        else if (Progress.Stage != ActStage.Holding && IsJudging(act.Point, reading.Channel))
            Progress = Progress with { Readings = Progress.Readings.Add(reading) };
    }

    /// <summary>Whether the point stands on this channel; of a fast and a slow one in the same role, on the slow one.</summary>
    private bool IsJudging(PointStep point, int index)
    {
        var channel = Channel(index);
        var isWanted =
            channel.Role is ChannelRole.StudVolts or ChannelRole.ReferenceShuntDrop or ChannelRole.UnitShuntDrop
            || (ChannelRoles.IsAuxiliary(channel.Role) && IsAuxiliary(plan.Groups[point.Group - 1].Kind));
        return isWanted && (!channel.IsFast || !plan.Bench.Channels.Any(c => !c.IsFast && c.Role == channel.Role));
    }

    private static bool IsAuxiliary(GroupKind kind) => kind is GroupKind.Auxiliary or GroupKind.WeldAndAuxiliary;
}
