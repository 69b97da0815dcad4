namespace LoadTest.Simulator.Lines;

/// <summary>What can be wrong with a device's wire, so many times.</summary>
internal enum LineTrouble
{
    /// <summary>The request is not heard.</summary>
    DropRequest,

    /// <summary>The request is obeyed, the answer lost.</summary>
    Drop,

    /// <summary>The answer comes later by the size, ms.</summary>
    Late,

    /// <summary>One bit of the answer is flipped.</summary>
    Corrupt,

    /// <summary>The answer comes twice.</summary>
    Duplicate,

    /// <summary>The answer is cut in two, one byte further each time, with a pause of the size between, ms.</summary>
    Split,

    /// <summary>The answer comes byte by byte, with a pause of the size between, ms.</summary>
    Drip,

    /// <summary>The answer is held back and comes in one piece with the next.</summary>
    Merge,

    /// <summary>The request comes back before the answer.</summary>
    Echo,

    /// <summary>Bytes nobody sent come before the answer.</summary>
    Garbage,

    /// <summary>Modbus TCP: the answer bears another request's number.</summary>
    WrongTransaction,

    /// <summary>Modbus: the answer bears another unit's address.</summary>
    WrongUnit,
}
