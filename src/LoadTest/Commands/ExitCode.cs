namespace LoadTest.Commands;

/// <summary>How the program ends; the numbers are listed in the README and never change meaning.</summary>
internal enum ExitCode
{
    /// <summary>Done; every verdict a pass.</summary>
    Pass = 0,

    /// <summary>The run was completed, and something failed, is undecided or was not tested.</summary>
    NotPassed = 1,

    /// <summary>An argument or a file is not as it must be; nothing was started.</summary>
    BadInput = 2,

    /// <summary>The gate refused; nothing was energised, or only the proving load.</summary>
    Refused = 3,

    /// <summary>The load was removed before the end, by the program, a person or a signal.</summary>
    Ended = 4,

    /// <summary>Journal, record or storage are in trouble.</summary>
    RecordTrouble = 5,
}
