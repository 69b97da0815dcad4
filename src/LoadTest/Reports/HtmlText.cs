using System.Text;
using System.Text.Encodings.Web;
using System.Text.Unicode;
using LoadTest.Sequencer.Text;

namespace LoadTest.Reports;

/// <summary>Builds a page; every word that is not ours goes through its one encoder.</summary>
internal sealed class HtmlText
{
    private static readonly HtmlEncoder s_encoder = HtmlEncoder.Create(UnicodeRanges.All);
    private readonly StringBuilder _page = new();

    /// <summary>The page so far.</summary>
    public override string ToString() => _page.ToString();

    /// <summary>Markup written in this program; never anything read from a file.</summary>
    public HtmlText Markup(string markup)
    {
        _page.Append(markup);
        return this;
    }

    /// <summary>Words from anywhere, encoded.</summary>
    public HtmlText Words(string? words)
    {
        _page.Append(s_encoder.Encode(VisibleText.Of(words ?? "", keepsLines: true)));
        return this;
    }

    /// <summary>An element around words.</summary>
    public HtmlText Element(string tag, string? words, string cssClass = "") =>
        Open(tag, cssClass).Words(words).Close(tag);

    /// <summary>Opens an element.</summary>
    public HtmlText Open(string tag, string cssClass = "")
    {
        _page.Append('<').Append(tag);
        if (cssClass.Length > 0)
            _page.Append(" class=\"").Append(cssClass).Append('"');
        _page.Append('>');
        return this;
    }

    /// <summary>Closes an element and ends the line.</summary>
    public HtmlText Close(string tag)
    {
        _page.Append("</").Append(tag).Append(">\n");
        return this;
    }

    /// <summary>A list of sentences; nothing when there is none.</summary>
    public HtmlText Sentences(IReadOnlyCollection<string> sentences, string cssClass = "")
    {
        if (sentences.Count == 0)
            return this;
        Open("ul", cssClass);
        foreach (var sentence in sentences)
            Element("li", sentence);
        return Close("ul");
    }

    /// <summary>Opens a table whose head is repeated on every printed page.</summary>
    /// <param name="cssClass">Class of the table.</param>
    /// <param name="heads">Column heads; one beginning with <c>#</c> is of a column of numbers.</param>
    public HtmlText Table(string cssClass, params ReadOnlySpan<string> heads)
    {
        Open("table", cssClass).Open("thead").Open("tr");
        foreach (var head in heads)
            Element("th", head.TrimStart('#'), head.StartsWith('#') ? "n" : "");
        return Close("tr").Close("thead").Open("tbody");
    }

    /// <summary>Closes a table.</summary>
    public HtmlText EndTable() => Close("tbody").Close("table");

    /// <summary>A row of cells; a cell beginning with <c>#</c> is a number.</summary>
    public HtmlText Row(params ReadOnlySpan<string?> cells)
    {
        Open("tr");
        foreach (var cell in cells)
        {
            var isNumber = cell is { Length: > 0 } && cell[0] == '#';
            Element("td", isNumber ? cell![1..] : cell, isNumber ? "n" : "");
        }
        return Close("tr");
    }

    /// <summary>A picture drawn by this program as SVG, with what it shows said in words.</summary>
    public HtmlText Picture(string svg, string caption)
    {
        var start = svg.IndexOf("<svg", StringComparison.Ordinal);
        _page
            .Append("<figure role=\"img\" aria-label=\"")
            .Append(s_encoder.Encode(VisibleText.Of(caption)))
            .Append("\">\n");
        _page.Append(svg.AsSpan(Math.Max(0, start)));
        return Element("figcaption", caption).Close("figure");
    }
}
