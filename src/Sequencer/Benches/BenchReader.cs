using LoadTest.Sequencer.Text;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Benches;

/// <summary>Reads a bench file and the instrument definitions it names.</summary>
public static class BenchReader
{
    /// <summary>The bench, or every reason why there is none.</summary>
    /// <param name="file">Name of the file as the person gave it, for messages.</param>
    /// <param name="bytes">Its bytes; anything at all.</param>
    /// <param name="resolve">Bytes of a definition file by its name below the profiles folder (forward slashes, never upwards);
    /// null when there is none. Read no more than 256 KiB and one byte of it: longer is refused.</param>
    public static Read<Bench> Read(
        string file,
        ReadOnlyMemory<byte> bytes,
        Func<string, ReadOnlyMemory<byte>?> resolve
    ) => WholeFile.Read(file, bytes, BenchShape.File(resolve));
}
