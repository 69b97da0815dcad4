using ScottPlot;

namespace LoadTest.Plots;

/// <summary>Stretches of time named along the top of a picture, in as many rows as it takes to keep names apart.</summary>
internal static class TimeBands
{
    private const double CharacterWidth = 6.9;
    private const double RowHeight = 0.065;

    /// <summary>A band with the place of its name.</summary>
    /// <param name="Band">The band.</param>
    /// <param name="At">Where its name begins, in the unit of time.</param>
    /// <param name="Row">In which row from the top, from 0.</param>
    public readonly record struct Placed(TimeSpanMark Band, double At, int Row);

    /// <summary>Gives each name the lowest row in which it covers no other; names keep clear of the right edge.</summary>
    /// <param name="bands">Bands in order of time; one without a name takes room but is not drawn.</param>
    /// <param name="end">End of the time axis.</param>
    /// <param name="width">Width of the picture's data area, pixels.</param>
    public static IReadOnlyList<Placed> Place(IEnumerable<TimeSpanMark> bands, double end, double width)
    {
        var perPixel = end / width;
        var taken = new List<double>();
        var placed = new List<Placed>();
        foreach (var band in bands)
        {
            var needed = (band.Name.Length * CharacterWidth + 8) * perPixel;
            var at = Math.Max(0, Math.Min(PlotStyle.Finite(band.From), end - needed));
            var row = taken.FindIndex(t => t <= at);
            if (row < 0)
            {
                row = taken.Count;
                taken.Add(0);
            }
            taken[row] = at + needed;
            placed.Add(new Placed(band, at, row));
        }
        return placed;
    }

    /// <summary>Factor on the highest value that leaves room for the rows of names above it.</summary>
    public static double Headroom(IReadOnlyList<Placed> placed) =>
        1.05 + RowHeight * (placed.Select(p => p.Row).DefaultIfEmpty(-1).Max() + 1);

    /// <summary>Shades every other band and writes the names.</summary>
    public static void Draw(Plot plot, IReadOnlyList<Placed> placed, double top)
    {
        var highest = top / Headroom(placed);
        var named = placed.Where(p => p.Band.Name.Length > 0).ToArray();
        foreach (var (band, _, _) in named.Where((_, index) => index % 2 == 1))
        {
            var shade = plot.Add.Rectangle(band.From, band.To, 0, top);
            shade.FillColor = PlotStyle.Faint.WithAlpha(0.35);
            shade.LineWidth = 0;
        }
        foreach (var (band, at, row) in named)
        {
            var y = top - row * RowHeight * highest;
            var mark = plot.Add.Line(band.From, 0, band.From, y);
            mark.Color = PlotStyle.Faint;
            mark.LineWidth = 1;
            PlotStyle.Write(plot, band.Name, at, y, PlotStyle.Ink, Alignment.UpperLeft);
        }
    }
}
