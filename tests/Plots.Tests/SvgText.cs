using System.Xml.Linq;

namespace LoadTest.PlotsTests;

/// <summary>What stands in a picture.</summary>
internal static class SvgText
{
    /// <summary>Every text of the picture, which must be well-formed.</summary>
    public static string[] Of(string svg) =>
        [.. XDocument.Parse(svg).Descendants().Where(e => e.Name.LocalName == "text").Select(e => e.Value.Trim())];

    /// <summary>Holds that one of the texts is exactly these words.</summary>
    public static void Has(string words, string[] texts) => Assert.Contains(texts, t => t == words);

    /// <summary>Names of all elements in the picture.</summary>
    public static string[] Elements(string svg) =>
        [.. XDocument.Parse(svg).Descendants().Select(e => e.Name.LocalName).Distinct(StringComparer.Ordinal)];

    /// <summary>Keeps the picture when a folder for that is named.</summary>
    public static void Keep(string name, string svg)
    {
        if (Environment.GetEnvironmentVariable("LOADTEST_PICTURES") is { } folder)
            File.WriteAllText(Path.Combine(folder, name + ".svg"), svg);
    }
}
