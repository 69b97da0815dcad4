using System.Security.Cryptography;
using System.Text;
using System.Text.RegularExpressions;
using ScottPlot;

namespace LoadTest.Plots;

/// <summary>The one look of every picture: shipped font, restrained colours, units on axes, stable bytes.</summary>
/// <remarks>
/// Colours are the eight of Okabe and Ito (2008), told apart with the common kinds of colour blindness; a picture never
/// relies on colour alone, so lines also differ in dash or marker and carry their label beside them.
/// </remarks>
public static partial class PlotStyle
{
    /// <summary>Measured values and fitted curves.</summary>
    public static Color Measured { get; } = Color.FromHex("#0072B2");

    /// <summary>What is compared with the measured: load lines, nameplate, prediction.</summary>
    public static Color Reference { get; } = Color.FromHex("#E69F00");

    /// <summary>Words about what is drawn in <see cref="Reference"/>: the same hue, dark enough to read.</summary>
    public static Color ReferenceInk { get; } = Color.FromHex("#8F6400");

    /// <summary>Limits, trips and what lies outside them.</summary>
    public static Color Limit { get; } = Color.FromHex("#D55E00");

    /// <summary>A second measured quantity beside the first.</summary>
    public static Color Second { get; } = Color.FromHex("#009E73");

    /// <summary>A third measured quantity, the panel meter's for one.</summary>
    public static Color Third { get; } = Color.FromHex("#CC79A7");

    /// <summary>Text, axes and ticks.</summary>
    public static Color Ink { get; } = Color.FromHex("#222222");

    /// <summary>Grid, open time and what only orients.</summary>
    public static Color Faint { get; } = Color.FromHex("#D9D9D9");

    /// <summary>An empty plot in the house style; axis labels carry the unit: <c>output current, A</c>.</summary>
    /// <param name="title">One line above the picture; empty for none.</param>
    /// <param name="bottom">Label of the horizontal axis, unit included.</param>
    /// <param name="left">Label of the vertical axis, unit included.</param>
    public static Plot Create(string title, string bottom, string left)
    {
        EmbeddedFonts.Use();
        var plot = new Plot();
        plot.Font.Set(EmbeddedFonts.Family);
        plot.FigureBackground.Color = Colors.White;
        plot.DataBackground.Color = Colors.White;
        plot.Axes.Color(Ink);
        plot.Grid.MajorLineColor = Faint;
        plot.Grid.MajorLineWidth = 0.7f;
        plot.Axes.Right.FrameLineStyle.IsVisible = false;
        plot.Axes.Top.FrameLineStyle.IsVisible = false;
        Label(plot.Axes.Bottom.Label, bottom, 13);
        Label(plot.Axes.Left.Label, left, 13);
        plot.Axes.Bottom.TickLabelStyle.FontSize = 12;
        plot.Axes.Left.TickLabelStyle.FontSize = 12;
        if (title.Length > 0)
        {
            plot.Title(title);
            plot.Axes.Title.Label.FontSize = 14;
            plot.Axes.Title.Label.FontName = EmbeddedFonts.Family;
            // Setting Bold changes nothing once a face is set, so the bold face itself is.
            plot.Axes.Title.Label.Font = Fonts.GetTypeface(EmbeddedFonts.Family, bold: true, italic: false);
        }
        return plot;
    }

    /// <summary>Writes words beside what they name, in its colour.</summary>
    /// <param name="plot">The plot.</param>
    /// <param name="text">The words.</param>
    /// <param name="x">Horizontal place, in the axis unit.</param>
    /// <param name="y">Vertical place, in the axis unit.</param>
    /// <param name="color">Colour of what is named.</param>
    /// <param name="alignment">Which corner of the words stands at the place.</param>
    public static void Write(
        Plot plot,
        string text,
        double x,
        double y,
        Color color,
        Alignment alignment = Alignment.LowerLeft
    )
    {
        var label = plot.Add.Text(text, Finite(x), Finite(y));
        label.LabelFontName = EmbeddedFonts.Family;
        label.LabelFontSize = 12;
        label.LabelFontColor = color;
        label.LabelAlignment = alignment;
        label.OffsetY =
            alignment is Alignment.UpperLeft or Alignment.UpperRight ? 3
            : alignment is Alignment.LowerLeft or Alignment.LowerRight ? -2
            : 0;
        label.OffsetX = alignment is Alignment.LowerLeft or Alignment.UpperLeft or Alignment.MiddleLeft ? 4 : -4;
    }

    /// <summary>Uncertainty bars up and down from points, thin and in the colour of the points.</summary>
    /// <param name="plot">The plot.</param>
    /// <param name="x">Horizontal places.</param>
    /// <param name="y">Vertical places.</param>
    /// <param name="half">Half lengths, zero or more, finite.</param>
    /// <param name="color">Colour of the points.</param>
    internal static void Bars(Plot plot, double[] x, double[] y, double[] half, Color color)
    {
        var bars = plot.Add.ErrorBar(x, y, [.. half.Select(Finite)]);
        bars.Color = color;
        bars.LineWidth = 1;
        bars.CapSize = 4;
    }

    /// <summary>Shows the axis on the right, in the colour of what it measures.</summary>
    internal static void SecondAxis(Plot plot, string label, Color color)
    {
        plot.Axes.Right.FrameLineStyle.IsVisible = true;
        Label(plot.Axes.Right.Label, label, 13);
        plot.Axes.Right.Label.ForeColor = color;
        plot.Axes.Right.TickLabelStyle.FontSize = 12;
    }

    /// <summary>The picture as SVG text: selectable words, scalable, the same bytes for the same plot.</summary>
    /// <param name="plot">The plot, drawn once.</param>
    /// <param name="width">Width in CSS pixels.</param>
    /// <param name="height">Height in CSS pixels.</param>
    public static string Svg(Plot plot, int width, int height)
    {
        var svg = plot.GetSvgXml(width, height).ReplaceLineEndings("\n");
        svg = FontFamily().Replace(svg, $"font-family=\"{EmbeddedFonts.Family}, Verdana, sans-serif\"");
        svg = TrailingComma().Replace(svg, "\"");
        svg = Size().Replace(svg, $"<svg viewBox=\"0 0 {width} {height}\" ", 1);
        return OwnIds(svg);
    }

    /// <summary>The picture as PNG bytes, for looking at and for places that cannot show SVG.</summary>
    public static byte[] Png(Plot plot, int width, int height) => plot.GetImageBytes(width, height, ImageFormat.Png);

    /// <summary>The value itself; NaN and infinities never reach the plotting library, which draws them silently wrong.</summary>
    /// <exception cref="ArgumentException">The value is NaN or infinite: the caller leaves such a point out and says so.</exception>
    public static double Finite(double value) =>
        double.IsFinite(value)
            ? value
            : throw new ArgumentException(
                $"A picture was given {value}; leave the point out and say so beside the picture.",
                nameof(value)
            );

    /// <summary>Renumbers ids in order of appearance under a prefix made from the content.</summary>
    /// <remarks>The library counts ids for the whole process: bytes would differ, and two pictures on one page collide.</remarks>
    private static string OwnIds(string svg)
    {
        var numbers = new Dictionary<string, int>(StringComparer.Ordinal);
        string Renumber(string text, string prefix) =>
            Id()
                .Replace(
                    text,
                    match =>
                    {
                        var id = match.Groups["id"].Value;
                        numbers.TryAdd(id, numbers.Count + 1);
                        return $"{match.Groups["before"].Value}{prefix}{numbers[id]}";
                    }
                );
        var hash = Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(Renumber(svg, "")))[..4]);
        return Renumber(svg, $"p{hash}-");
    }

    private static void Label(LabelStyle label, string text, float size)
    {
        label.Text = text;
        label.FontName = EmbeddedFonts.Family;
        label.FontSize = size;
        label.Bold = false;
    }

    [GeneratedRegex("font-family=\"[^\"]*\"", RegexOptions.CultureInvariant | RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex FontFamily();

    [GeneratedRegex(", *\"(?=[ />])", RegexOptions.CultureInvariant | RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex TrailingComma();

    [GeneratedRegex(
        "(?<before>\\bid=\"|url\\(#|href=\"#)(?<id>[A-Za-z0-9_]+)",
        RegexOptions.CultureInvariant | RegexOptions.ExplicitCapture,
        1000
    )]
    private static partial Regex Id();

    [GeneratedRegex("<svg ", RegexOptions.CultureInvariant | RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex Size();
}
