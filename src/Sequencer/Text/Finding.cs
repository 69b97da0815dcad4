namespace LoadTest.Sequencer.Text;

/// <summary>Where something stands in a file a person edits.</summary>
/// <param name="File">File name as the person gave it; never resolved to a machine path.</param>
/// <param name="Line">Line, counted from 1; 0 when the whole file is meant.</param>
/// <param name="Column">Column, counted from 1; 0 when the whole line is meant.</param>
public readonly record struct Place(string File, int Line, int Column)
{
    /// <summary>The place as editors and compilers write it: <c>profiles/duty.yaml(12,18)</c>.</summary>
    public override string ToString() => Line == 0 ? VisibleText.Of(File) : $"{VisibleText.Of(File)}({Line},{Column})";
}

/// <summary>How much a finding weighs.</summary>
public enum Severity
{
    /// <summary>Worth knowing; nothing is refused because of it.</summary>
    Note,

    /// <summary>Allowed, but the result will be weaker than the person may expect.</summary>
    Warning,

    /// <summary>The file, plan or bench is refused until this is mended.</summary>
    Error,
}

/// <summary>One thing a reader, the planner or the gate has to say about an input.</summary>
/// <param name="Place">Where it stands; of the plan, the place of the profile step it concerns.</param>
/// <param name="Severity">How much it weighs.</param>
/// <param name="Message">One or two sentences: what was found, what is allowed, what to do.</param>
public sealed record Finding(Place Place, Severity Severity, string Message)
{
    /// <summary>The finding on one line, place first.</summary>
    public override string ToString() => $"{Place}: {VisibleText.Of(Message, keepsLines: true)}";
}
