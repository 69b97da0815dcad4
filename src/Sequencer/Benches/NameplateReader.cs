using LoadTest.Sequencer.Text;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Benches;

/// <summary>Reads a nameplate file.</summary>
public static class NameplateReader
{
    /// <summary>The nameplate, or every reason why there is none.</summary>
    /// <param name="file">Name of the file as the person gave it, for messages.</param>
    /// <param name="bytes">Its bytes; anything at all.</param>
    public static Read<Nameplate> Read(string file, ReadOnlyMemory<byte> bytes) =>
        WholeFile.Read(file, bytes, NameplateShape.File);
}
