using LoadTest.Sequencer.Journal;

namespace LoadTest.Records.Measuring;

/// <summary>When steps ran, what was switched in them, and the windows taken in them, from the journal.</summary>
internal sealed class StepTimes
{
    private readonly Dictionary<int, (TimeSpan From, TimeSpan To)> _steps = [];
    private readonly List<(int Step, SwitchIntended Switch)> _switches = [];
    private readonly List<PointMeasured> _windows = [];

    public StepTimes(IReadOnlyList<JournalEntry> entries)
    {
        var step = 0;
        foreach (var entry in entries)
        {
            switch (entry)
            {
                case StepStarted started:
                    step = started.Step;
                    _steps[step] = (started.At, entries[^1].At);
                    break;
                case StepEnded ended when _steps.TryGetValue(ended.Step, out var known):
                    _steps[ended.Step] = known with { To = ended.At };
                    break;
                case SwitchIntended intended:
                    _switches.Add((step, intended));
                    break;
                case PointMeasured window:
                    _windows.Add(window);
                    break;
            }
        }
    }

    /// <summary>Beginning and end of a step; the journal's end where it did not end; null when it did not begin.</summary>
    public (TimeSpan From, TimeSpan To)? Of(int step) => _steps.TryGetValue(step, out var times) ? times : null;

    /// <summary>When these elements were commanded in a step, the last time; null when never.</summary>
    public TimeSpan? Switched(int step, Analysis.Loads.ElementSet elements)
    {
        TimeSpan? at = null;
        foreach (var (of, intended) in _switches)
        {
            if (of == step && intended.Elements == elements)
                at = intended.At;
        }
        return at;
    }

    /// <summary>Windows taken in a step, in order.</summary>
    public IEnumerable<PointMeasured> Windows(int step) => _windows.Where(w => w.Step == step);
}
