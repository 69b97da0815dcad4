using System.Collections.Immutable;
using System.Runtime.InteropServices;

namespace LoadTest.Sequencer.Text;

/// <summary>Collects what there is to say about one file, so that a person mends all of it in one go.</summary>
/// <remarks>Holds at most <see cref="Most"/> findings; a broken file must not cost more than a sound one.</remarks>
internal sealed class FindingList(string file)
{
    /// <summary>Findings kept of one file; the rest are counted.</summary>
    internal const int Most = 200;

    private readonly List<Finding> findings = [];
    private int left;

    /// <summary>The file everything here is about.</summary>
    internal string File => file;

    /// <summary>Errors so far; a shape compares before and after to know whether its part is sound.</summary>
    internal int Errors { get; private set; }

    /// <summary>Whether further findings are only counted, so that no care need go into their words.</summary>
    internal bool IsFull => findings.Count >= Most;

    /// <summary>Adds an error.</summary>
    internal void Error(Place place, string message)
    {
        Errors++;
        Add(new Finding(place, Severity.Error, message));
    }

    /// <summary>Adds a warning.</summary>
    internal void Warn(Place place, string message) => Add(new Finding(place, Severity.Warning, message));

    /// <summary>Everything, by line, then column, then in the order it was found.</summary>
    internal ImmutableArray<Finding> Sorted()
    {
        var sorted = findings.OrderBy(f => f.Place.Line).ThenBy(f => f.Place.Column).ToList();
        if (left > 0)
        {
            var more =
                $"{left} more findings are left out after the first {Most}. Mend these and check the file again.";
            sorted.Add(new Finding(new Place(file, 0, 0), Severity.Error, more));
        }
        return ImmutableCollectionsMarshal.AsImmutableArray(sorted.ToArray());
    }

    private void Add(Finding finding)
    {
        if (findings.Count < Most)
        {
            findings.Add(finding);
        }
        else
        {
            left++;
        }
    }
}
