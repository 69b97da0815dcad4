using System.Globalization;
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

    /// <summary>How far below the picture's upper edge these words stand.</summary>
    public static double Height(string words, string svg)
    {
        var place = XDocument
            .Parse(svg)
            .Descendants()
            .Single(e => e.Name.LocalName == "text" && e.Value.Trim() == words)
            .Attribute("transform")!
            .Value;
        return double.Parse(place.Split(' ', ')')[1], CultureInfo.InvariantCulture);
    }

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
