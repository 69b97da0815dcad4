using System.Collections.Immutable;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Sequencer.Engine;

/// <content>Readings: the trip decision first, before anything else sees them.</content>
internal sealed partial class Turn
{
    private void OnReadings(ImmutableArray<Reading> readings)
    {
        State = State with { Scan = State.Scan.AddRange(readings) };
        if (!State.IsScanning)
            return;
        RemovalCause? cause = null;
        var good = State.LastGood.ToBuilder();
        foreach (var reading in readings)
        {
            if (reading.Flag == IndicationFlag.Good)
                good[reading.Channel] = reading;
            cause ??= Judge(reading);
        }
        State = State with { LastGood = good.MoveToImmutable() };
        cause ??= JudgeConductance(readings);
        if (cause is not null && State.Phase == RunPhase.Stepping)
        {
            Remove(cause, Outcome.Tripped);
            return;
        }
        foreach (var reading in readings)
        {
            if (reading.Flag == IndicationFlag.Good)
                OnGoodReading(reading);
        }
    }

    private RemovalCause? Judge(Reading reading)
    {
        if (reading.Flag == IndicationFlag.Missing)
            return null;
        var channel = Channel(reading.Channel);
        if (TripCheck.Flag(channel, reading.Flag) is { } cause)
            return cause;
        if (State.Limits is not { } limits)
            return null;
        return channel.Role switch
        {
            ChannelRole.BankVolts or ChannelRole.StudVolts => TripCheck.Volts(channel, reading.Value, limits),
            ChannelRole.BankAmperes => TripCheck.Amperes(channel, reading.Value, limits),
            _ => null,
        };
    }

    /// <summary>Amperes over volts of one transaction of the bank.</summary>
    private RemovalCause? JudgeConductance(ImmutableArray<Reading> readings)
    {
        if (State.Limits?.Conductance is null)
            return null;
        double? volts = null;
        double? amperes = null;
        foreach (var reading in readings)
        {
            if (reading.Flag != IndicationFlag.Good)
                continue;
            var role = Channel(reading.Channel).Role;
            if (role == ChannelRole.BankVolts)
                volts = reading.Value;
            else if (role == ChannelRole.BankAmperes)
                amperes = reading.Value;
        }
        return volts is { } v && amperes is { } a ? TripCheck.Conductance(v, a, State.Limits) : null;
    }

    /// <summary>Trips when a channel's last good reading is older than it may be; true when it did.</summary>
    private bool CheckAges()
    {
        if (!State.IsScanning)
            return false;
        for (var k = 0; k < State.LastGood.Length; k++)
        {
            if (TripCheck.Age(Channel(k), now - State.LastGood[k].At) is { } cause)
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
            OnRemovalReading(reading);
            return;
        }
        if (State.Phase != RunPhase.Stepping)
            return;
        if (CurrentAct is not (SettleAct or MeasureAct))
            OnExpectedReading(reading);
        else if (Progress.Stage != ActStage.Holding && IsJudging(Channel(reading.Channel).Role))
            Progress = Progress with { Readings = Progress.Readings.Add(reading) };
    }

    private static bool IsJudging(ChannelRole role) =>
        role is ChannelRole.StudVolts or ChannelRole.ReferenceShuntDrop or ChannelRole.UnitShuntDrop;
}
