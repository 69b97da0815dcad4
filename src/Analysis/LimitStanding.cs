namespace LoadTest.Analysis;

/// <summary>Where a value stands to a limit once its expanded uncertainty is minded.</summary>
public enum LimitStanding
{
    /// <summary>Within the limit by at least the expanded uncertainty.</summary>
    Within,

    /// <summary>Beyond the limit by at least the expanded uncertainty.</summary>
    Beyond,

    /// <summary>Too close to the limit for this uncertainty.</summary>
    Undecided,
}
