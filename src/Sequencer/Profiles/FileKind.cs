namespace LoadTest.Sequencer.Profiles;

/// <summary>The kinds of file a person edits, told apart by one key.</summary>
public enum FileKind
{
    /// <summary><c>profile:</c>.</summary>
    Profile,

    /// <summary><c>nameplate:</c>.</summary>
    Nameplate,

    /// <summary><c>bench:</c>.</summary>
    Bench,

    /// <summary><c>instrument:</c>, an instrument definition.</summary>
    Instrument,
}
