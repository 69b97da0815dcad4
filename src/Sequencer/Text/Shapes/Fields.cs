using System.Diagnostics.CodeAnalysis;

namespace LoadTest.Sequencer.Text.Shapes;

/// <summary>The values read of one mapping, by key.</summary>
internal sealed class Fields(Place place, bool isEmpty, FindingList findings)
{
    private readonly Dictionary<Key, (object? Value, Place Place)> read = [];
    private readonly List<Key> order = [];

    /// <summary>Where the mapping starts.</summary>
    internal Place Place => place;

    /// <summary>Whether no key at all was written.</summary>
    internal bool IsEmpty => isEmpty;

    /// <summary>Where findings go.</summary>
    internal FindingList Findings => findings;

    /// <summary>Keys given, in the order of the file.</summary>
    internal IReadOnlyList<Key> Given => order;

    /// <summary>Keeps what a key held.</summary>
    internal void Keep(Key key, object? value, Place where)
    {
        read[key] = (value, where);
        order.Add(key);
    }

    /// <summary>Whether the key stands in the file, well or badly written.</summary>
    internal bool Has(Key key) => read.ContainsKey(key);

    /// <summary>Where the key's value stands; the mapping's place when it was left out.</summary>
    internal Place PlaceOf(Key key) => read.TryGetValue(key, out var entry) ? entry.Place : place;

    /// <summary>The value, if the key was given and well written.</summary>
    internal bool TryGet<T>(Key<T> key, [MaybeNullWhen(false)] out T value)
        where T : notnull
    {
        if (read.TryGetValue(key, out var entry) && entry.Value is T known)
        {
            value = known;
            return true;
        }
        value = default;
        return false;
    }

    /// <summary>The value of a key that must be there; asked only once the mapping proved sound.</summary>
    internal T Get<T>(Key<T> key)
        where T : notnull =>
        TryGet(key, out var value)
            ? value
            : throw new InvalidOperationException($"`{key.Name}` was asked for and not read.");

    /// <summary>The value, or what leaving the key out means.</summary>
    internal T Get<T>(Key<T> key, T otherwise)
        where T : notnull => TryGet(key, out var value) ? value : otherwise;

    /// <summary>The value, or null when the key was left out.</summary>
    internal T? Maybe<T>(Key<T> key)
        where T : class => TryGet(key, out var value) ? value : null;

    /// <summary>The value, or null when the key was left out.</summary>
    internal T? MaybeValue<T>(Key<T> key)
        where T : struct => TryGet(key, out var value) ? value : null;

    /// <summary>Adds an error at a key when both values are known and the law between them does not hold.</summary>
    internal void Demand<TA, TB>(Key<TA> a, Key<TB> b, Func<TA, TB, bool> law, string message)
        where TA : notnull
        where TB : notnull
    {
        if (TryGet(a, out var first) && TryGet(b, out var second) && !law(first, second))
        {
            findings.Error(PlaceOf(b), message);
        }
    }
}
