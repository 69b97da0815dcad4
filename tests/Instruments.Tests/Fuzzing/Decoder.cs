namespace LoadTest.InstrumentsTests.Fuzzing;

/// <summary>A decoder of bytes from outside, and what must hold whatever they are.</summary>
/// <param name="Name">Name on the command line and of its file of kept inputs.</param>
/// <param name="Decode">Decodes; returns what kind of end it came to, and throws when a law is broken.</param>
/// <param name="Mend">Puts check or length right, so that what was changed inside is looked at; null where there is none.</param>
/// <param name="Words">Pieces put in beside random bytes.</param>
/// <param name="MostAllocated">Most bytes one input may allocate.</param>
internal sealed record Decoder(
    string Name,
    Func<byte[], int> Decode,
    Func<byte[], byte[]>? Mend,
    byte[][] Words,
    long MostAllocated
);
