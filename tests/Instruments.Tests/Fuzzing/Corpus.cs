namespace LoadTest.InstrumentsTests.Fuzzing;

/// <summary>Kept inputs: one a line, in hexadecimal; what follows a blank is for people.</summary>
internal static class Corpus
{
    /// <summary>The inputs of a decoder's file in a folder; none when it has no file.</summary>
    public static List<byte[]> Of(string folder, Decoder decoder)
    {
        var file = Path.Combine(folder, decoder.Name + ".hex");
        if (!File.Exists(file))
            return [];
        return
        [
            .. File.ReadLines(file)
                .Where(line => line.Length > 0)
                .Select(line => Convert.FromHexString(line.Split(' ')[0])),
        ];
    }

    /// <summary>Writes inputs into a decoder's file, the shortest first.</summary>
    public static void Keep(string folder, Decoder decoder, IEnumerable<byte[]> inputs) =>
        File.WriteAllLines(
            Path.Combine(folder, decoder.Name + ".hex"),
            inputs
                .Where(i => i.Length is > 0 and <= 2048)
                .Select(Convert.ToHexString)
                .Distinct(StringComparer.Ordinal)
                .OrderBy(line => line.Length)
                .ThenBy(line => line, StringComparer.Ordinal)
        );
}
