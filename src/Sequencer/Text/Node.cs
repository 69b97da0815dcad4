using System.Collections.Immutable;

namespace LoadTest.Sequencer.Text;

/// <summary>A file as a tree that remembers where everything stood; three kinds and no more.</summary>
/// <param name="Place">Where it starts.</param>
internal abstract record Node(Place Place)
{
    /// <summary>What it is, for messages.</summary>
    internal abstract string Kind { get; }
}

/// <summary>A single value, always kept as the text that was written.</summary>
/// <param name="Text">The text, quotes taken off.</param>
/// <param name="IsPlain">Whether it was written without quotes on its own line.</param>
internal sealed record ScalarNode(string Text, bool IsPlain, Place Place) : Node(Place)
{
    /// <summary>Whether nothing was written after the colon or dash.</summary>
    internal bool IsMissing => IsPlain && Text.Length == 0;

    internal override string Kind => IsMissing ? "nothing" : "a single value";
}

/// <summary>A list of values.</summary>
internal sealed record SequenceNode(ImmutableArray<Node> Items, Place Place) : Node(Place)
{
    internal override string Kind => "a list";
}

/// <summary>Keys with their values, in the order of the file; keys are single values and differ.</summary>
internal sealed record MappingNode(ImmutableArray<KeyValue> Entries, Place Place) : Node(Place)
{
    internal override string Kind => "keys with values";
}

/// <summary>One key of a mapping and its value.</summary>
internal sealed record KeyValue(ScalarNode Key, Node Value);
