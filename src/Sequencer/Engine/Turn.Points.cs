using System.Runtime.InteropServices;
using LoadTest.Analysis;
using LoadTest.Analysis.Settling;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Profiles;

namespace LoadTest.Sequencer.Engine;

/// <content>Points: settle by rule, hold, then collect the readings that count.</content>
internal sealed partial class Turn
{
    private void OnSettleTick(SettleAct settle)
    {
        if (Progress.Stage == ActStage.Holding)
        {
            if (now >= Progress.Due)
                NextAct("");
            return;
        }
        var rule = plan.Profile.Settle;
        TrimReadings(now - rule.Over - rule.Over);
        var (isSettled, words) = Lasting(rule, AssessPoint(settle, rule));
        if (!isSettled && now - Progress.Since < rule.GiveUpAfter)
            return;
        Progress = Progress with
        {
            Stage = ActStage.Holding,
            Due = now + settle.Point.Hold,
            HasSettled = isSettled,
            Words = words,
            Readings = [],
        };
        if (settle.Point.Hold == TimeSpan.Zero)
            NextAct("");
    }

    /// <summary>
    /// What is foretold from noisy readings looks little now and then by chance, and large by chance too: looks that found it little
    /// have to outnumber the others by a window's worth.
    /// </summary>
    private (bool IsSettled, string Words) Lasting(SettleRule rule, (bool IsSettled, string Words) found)
    {
        if (rule.StillToCome is null)
            return found;
        var little = Math.Max(0, Progress.Little + (found.IsSettled ? 1 : -1));
        Progress = Progress with { Little = little };
        var lasts = little * RunMachine.ScanPeriod >= rule.Over;
        return found.IsSettled && !lasts
            ? (false, $"{found.Words} It has not looked so for {rule.Over.TotalSeconds:0.#} s.")
            : (lasts, found.Words);
    }

    /// <summary>Volts must have settled always, amperes where current flows.</summary>
    private (bool IsSettled, string Words) AssessPoint(SettleAct settle, SettleRule rule)
    {
        var volts = Assess(Within(rule, rule.OrVolts.Value), ChannelRole.StudVolts, static v => v);
        if (volts.IsSettled && !settle.Point.State.Auxiliary.IsEmpty)
        {
            var auxiliary = Assess(Within(rule, rule.OrVolts.Value), ChannelRole.AuxiliaryVolts, static v => v);
            if (!auxiliary.IsSettled)
                return (false, auxiliary.Describe("V of the auxiliary output"));
        }
        if (!volts.IsSettled || settle.Point.State.Elements.IsEmpty)
            return ToCome(rule, volts, "V", rule.OrVolts.Value, ChannelRole.StudVolts, static v => v);
        var amperes = Assess(Within(rule, rule.OrAmperes.Value), ChannelRole.ReferenceShuntDrop, ReferenceAmperes);
        if (!amperes.IsSettled)
            return (false, amperes.Describe("A"));
        var left = ToCome(rule, amperes, "A", rule.OrAmperes.Value, ChannelRole.ReferenceShuntDrop, ReferenceAmperes);
        return left.IsSettled
            ? ToCome(rule, volts, "V", rule.OrVolts.Value, ChannelRole.StudVolts, static v => v)
            : left;
    }

    /// <summary>Whether what is still to come, as the readings foretell it, is little enough; where nobody asks, what was found before.</summary>
    private (bool IsSettled, string Words) ToCome(
        SettleRule rule,
        SettlingAssessment found,
        string unit,
        double floor,
        ChannelRole role,
        Func<double, double> quantity
    )
    {
        var words = found.Describe(unit);
        if (!found.IsSettled || rule.StillToCome is not { } share)
            return (found.IsSettled, words);
        var allowed = Math.Max(floor, share * Math.Abs(found.Mean));
        // Readings are kept for two windows; until there are so many nothing can be foretold.
        if (now - Progress.Since < rule.Over + rule.Over)
            return (false, $"{words} Too early to say what is still to come.");
        if (StillToCome(role, quantity) is not { } left)
            return (false, $"{words} Too few readings without a gap to say what is still to come.");
        return left <= allowed
            ? (true, words)
            : (
                false,
                $"Still to come: {Figures.Of(left, 2)} {unit} by the readings' own approach, {Figures.Of(allowed, 2)} {unit} allowed."
            );
    }

    private double? StillToCome(ChannelRole role, Func<double, double> quantity)
    {
        var times = new List<double>();
        var values = new List<double>();
        foreach (var reading in Progress.Readings)
        {
            if (Channel(reading.Channel).Role != role)
                continue;
            times.Add(reading.At.TotalSeconds);
            values.Add(quantity(reading.Value));
        }
        return Approach.StillToCome(CollectionsMarshal.AsSpan(times), CollectionsMarshal.AsSpan(values));
    }

    private static SettlingRule Within(SettleRule rule, double floor) =>
        new(rule.Within, floor, rule.Over.TotalSeconds, SettlingRule.FewestReadings);

    private SettlingAssessment Assess(SettlingRule rule, ChannelRole role, Func<double, double> quantity)
    {
        var readings = Progress.Readings;
        var (times, values) = (new double[readings.Length], new double[readings.Length]);
        var count = 0;
        foreach (var reading in readings)
        {
            if (Channel(reading.Channel).Role != role)
                continue;
            times[count] = reading.At.TotalSeconds;
            values[count++] = quantity(reading.Value);
        }
        return rule.Assess(times.AsSpan(0, count), values.AsSpan(0, count));
    }

    private void TrimReadings(TimeSpan oldest)
    {
        var readings = Progress.Readings;
        var first = 0;
        while (first < readings.Length && readings[first].At < oldest)
            first++;
        if (first > 0)
            Progress = Progress with { Readings = readings.RemoveRange(0, first) };
    }

    private void OnMeasureTick(MeasureAct measure)
    {
        var readings = Progress.Readings;
        for (var k = 0; k < plan.Bench.Channels.Length; k++)
        {
            if (!IsJudging(measure.Point, k))
                continue;
            var count = 0;
            foreach (var reading in readings)
                count += reading.Channel == k ? 1 : 0;
            if (count < plan.Profile.AverageReadings)
                return;
        }
        var (from, to) = (readings[0].At, readings[^1].At);
        var words = Progress.Words;
        Write(new PointMeasured(now, measure.Point.Number, from, to, Progress.HasSettled, words));
        NextAct(Progress.HasSettled ? "" : words);
    }
}
