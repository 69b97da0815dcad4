namespace LoadTest.Records;

/// <summary>What a record says it is.</summary>
public enum ClaimKind
{
    /// <summary>Nothing: a simulated bench proves nothing about any unit.</summary>
    None,

    /// <summary>A test: what was measured, as far as the run came.</summary>
    Test,

    /// <summary>A verification: every item judged, every instrument in date, the bank found off.</summary>
    Verification,

    /// <summary>Frames of the journal are missing, so nothing can be said of it.</summary>
    Unknown,
}

/// <summary>What a record says it is, and why not more.</summary>
/// <param name="Kind">The claim.</param>
/// <param name="Reasons">What bars a further claim, whole sentences.</param>
public sealed record Claim(ClaimKind Kind, IReadOnlyList<string> Reasons);
