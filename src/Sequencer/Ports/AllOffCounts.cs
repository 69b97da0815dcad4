namespace LoadTest.Sequencer.Ports;

/// <summary>What became of the all-offs asked for at a bank; each count stands for itself, and none proves a contact open.</summary>
/// <param name="Written">All-offs that an open line took whole. A TCP line also takes them for a peer that reads nothing.</param>
/// <param name="Answered">Written all-offs whose own reply came back and says that it was done.</param>
/// <param name="Failed">All-offs that no open line took whole: the line was lost, or broke in the middle of the frame.</param>
/// <remarks>Asked for five times, the line lost after the second and back once: 3 written, 2 answered, 3 failed, when the one owed is written but not answered.</remarks>
public readonly record struct AllOffCounts(long Written, long Answered, long Failed)
{
    /// <summary>For a person: "all-off written 3 times, answered 2 times, failed once".</summary>
    public string Words =>
        $"all-off written {Times(Written)}, answered {Times(Answered)}{(Failed == 0 ? "" : $", failed {Times(Failed)}")}";

    /// <summary>Counts of two banks together.</summary>
    public static AllOffCounts operator +(AllOffCounts left, AllOffCounts right) =>
        new(left.Written + right.Written, left.Answered + right.Answered, left.Failed + right.Failed);

    /// <summary>What was counted since an earlier look at the same bank.</summary>
    public static AllOffCounts operator -(AllOffCounts later, AllOffCounts earlier) =>
        new(later.Written - earlier.Written, later.Answered - earlier.Answered, later.Failed - earlier.Failed);

    private static string Times(long count) => count == 1 ? "once" : $"{count} times";
}
