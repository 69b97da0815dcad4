namespace LoadTest.Records.Journaling;

/// <summary>Thrown inside the journal reader when an entry's kind is none this version knows.</summary>
internal sealed class UnknownKindException : FormatException
{
    /// <summary>Names the kind found.</summary>
    public UnknownKindException(string kind)
        : base($"kind \"{kind}\" is none this version knows") { }
}
