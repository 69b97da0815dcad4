using ScottPlot;
using SkiaSharp;

namespace LoadTest.Plots;

/// <summary>The two faces that ship inside this assembly, so that pictures need no font of the machine.</summary>
/// <remarks>Without any registered font the plotting library draws no text at all and says nothing.</remarks>
internal sealed class EmbeddedFonts : IFontResolver
{
    /// <summary>Family name of the shipped faces, as it stands in every picture.</summary>
    public const string Family = "DejaVu Sans";

    private static readonly Lazy<bool> Registered = new(Register);
    private readonly SKTypeface _regular = Load("DejaVuSans.ttf");
    private readonly SKTypeface _bold = Load("DejaVuSans-Bold.ttf");

    private EmbeddedFonts() { }

    /// <summary>Makes the shipped family the one the plotting library draws with; does it once.</summary>
    public static void Use() => _ = Registered.Value;

    /// <inheritdoc/>
    public SKTypeface? CreateTypeface(string fontName, FontWeight weight, FontSlant slant, FontSpacing spacing) =>
        CreateTypeface(fontName, weight >= FontWeight.SemiBold, slant != FontSlant.Upright);

    /// <inheritdoc/>
    public SKTypeface? CreateTypeface(string fontName, bool bold, bool italic) =>
        string.Equals(fontName, Family, StringComparison.Ordinal) ? (bold ? _bold : _regular) : null;

    private static bool Register()
    {
        Fonts.FontResolvers.Insert(0, new EmbeddedFonts());
        Fonts.Default = Family;
        Fonts.Sans = Family;
        return true;
    }

    private static SKTypeface Load(string resource)
    {
        using var stream =
            typeof(EmbeddedFonts).Assembly.GetManifestResourceStream(resource)
            ?? throw new InvalidOperationException($"Font {resource} is not embedded in this assembly.");
        using var data = SKData.Create(stream);
        return SKTypeface.FromData(data);
    }
}
