using System.Collections.Immutable;
using LoadTest.Sequencer.Journal;

namespace LoadTest.Records;

/// <summary>A file the run depended on, as its journal holds it.</summary>
/// <param name="Role">What it is.</param>
/// <param name="Name">Its name as given.</param>
/// <param name="Bytes">Its bytes.</param>
/// <param name="Sha256">SHA-256 of the bytes, lower-case hexadecimal.</param>
public sealed record EmbeddedFile(FileRole Role, string Name, ImmutableArray<byte> Bytes, string Sha256);
