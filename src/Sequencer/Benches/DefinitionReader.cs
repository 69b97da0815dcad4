using LoadTest.Sequencer.Text;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Benches;

/// <summary>Reads an instrument definition file.</summary>
public static class DefinitionReader
{
    /// <summary>The definition, or every reason why there is none.</summary>
    /// <param name="file">Name of the file as the person gave it, for messages.</param>
    /// <param name="bytes">Its bytes; anything at all.</param>
    public static Read<InstrumentDefinition> Read(string file, ReadOnlyMemory<byte> bytes) =>
        WholeFile.Read(file, bytes, DefinitionShape.File);
}
