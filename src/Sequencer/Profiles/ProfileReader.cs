using LoadTest.Sequencer.Text;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Profiles;

/// <summary>Reads a profile file.</summary>
public static class ProfileReader
{
    /// <summary>The profile, or every reason why there is none.</summary>
    /// <param name="file">Name of the file as the person gave it, for messages.</param>
    /// <param name="bytes">Its bytes; anything at all.</param>
    public static Read<LoadProfile> Read(string file, ReadOnlyMemory<byte> bytes) =>
        WholeFile.Read(file, bytes, ProfileShape.File);
}
