using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Records.Measuring;

/// <summary>Every raw reading of one channel over a run, in order of arrival.</summary>
internal sealed class ChannelReadings
{
    private readonly List<Reading> _readings = [];

    /// <summary>All of them.</summary>
    public IReadOnlyList<Reading> All => _readings;

    /// <summary>Sorts the readings of a journal by channel.</summary>
    /// <param name="entries">Entries of a journal.</param>
    /// <param name="channels">How many channels the bench has; readings of others are left out.</param>
    public static IReadOnlyList<ChannelReadings> Of(IEnumerable<JournalEntry> entries, int channels)
    {
        var sorted = new ChannelReadings[channels];
        for (var i = 0; i < channels; i++)
            sorted[i] = new ChannelReadings();
        foreach (var scan in entries.OfType<Scanned>())
        {
            foreach (var reading in scan.Readings)
            {
                if (reading.Channel >= 0 && reading.Channel < channels)
                    sorted[reading.Channel]._readings.Add(reading);
            }
        }
        return sorted;
    }

    /// <summary>Values of the good readings between two times, both included, and how many there were not good.</summary>
    public (double[] Values, int NotGood) Between(TimeSpan from, TimeSpan to)
    {
        var values = new List<double>();
        var notGood = 0;
        for (var i = First(from); i < _readings.Count && _readings[i].At <= to; i++)
        {
            if (_readings[i].Flag == IndicationFlag.Good)
                values.Add(_readings[i].Value);
            else
                notGood++;
        }
        return ([.. values], notGood);
    }

    /// <summary>The readings between two times, both included.</summary>
    public ChannelReadings Part(TimeSpan from, TimeSpan to)
    {
        var part = new ChannelReadings();
        for (var i = First(from); i < _readings.Count && _readings[i].At <= to; i++)
            part._readings.Add(_readings[i]);
        return part;
    }

    /// <summary>Moments, s since the run was opened, and values of the good readings between two times, both included.</summary>
    public (double[] Seconds, double[] Values) Series(TimeSpan from, TimeSpan to)
    {
        var (seconds, values) = (new List<double>(), new List<double>());
        for (var i = First(from); i < _readings.Count && _readings[i].At <= to; i++)
        {
            var isLater = seconds.Count == 0 || _readings[i].At.TotalSeconds > seconds[^1];
            if (_readings[i].Flag != IndicationFlag.Good || !isLater)
                continue;
            seconds.Add(_readings[i].At.TotalSeconds);
            values.Add(_readings[i].Value);
        }
        return ([.. seconds], [.. values]);
    }

    // Replies of one channel arrive one after the other, so their times rise.
    private int First(TimeSpan from)
    {
        var (low, high) = (0, _readings.Count);
        while (low < high)
        {
            var middle = low + (high - low) / 2;
            if (_readings[middle].At < from)
                low = middle + 1;
            else
                high = middle;
        }
        return low;
    }
}
