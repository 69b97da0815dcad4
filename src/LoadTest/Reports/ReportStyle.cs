using System.Globalization;
using System.Text;

namespace LoadTest.Reports;

/// <summary>The look of a report, on a screen and on A4.</summary>
internal static class ReportStyle
{
    private const string Sheet = """
        :root{--ink:#1c1f23;--soft:#5b626b;--line:#d5d9de;--pale:#f4f5f7;--pass:#00664a;--fail:#a63a00;--open:#7a5600}
        *{box-sizing:border-box}
        body{margin:0 auto;max-width:190mm;padding:8mm 6mm 14mm;color:var(--ink);background:#fff;
         font:9.2pt/1.4 "Segoe UI","Noto Sans","DejaVu Sans",Verdana,sans-serif;font-variant-numeric:tabular-nums}
        h1{font-size:22pt;font-weight:600;margin:0;letter-spacing:-.01em}
        h2{font-size:13pt;font-weight:600;margin:9mm 0 2.5mm;padding-bottom:1mm;border-bottom:1px solid var(--ink);break-after:avoid}
        h3{font-size:10.5pt;font-weight:600;margin:5mm 0 1.5mm;break-after:avoid}
        p{margin:1.5mm 0}ul{margin:1.5mm 0;padding-left:5mm}li{margin:.6mm 0}
        .sub{color:var(--soft);margin:.5mm 0 4mm}
        .mark{background:#fff3d6;border:1.5px solid #b07b00;color:#5c4000;font-weight:600;text-align:center;padding:1.6mm 3mm;
         letter-spacing:.03em;margin:0 0 6mm}
        table{border-collapse:collapse;width:100%;font-size:8.1pt;margin:1.5mm 0 3mm}
        th{text-align:left;font-weight:600;color:var(--soft);border-bottom:1px solid var(--ink);padding:1mm 2mm 1mm 0;vertical-align:bottom}
        td{border-bottom:1px solid var(--line);padding:.9mm 2mm .9mm 0;vertical-align:top;overflow-wrap:break-word}
        table.many{font-size:7pt}table.many th,table.many td{padding-right:1.2mm}td.id{overflow-wrap:anywhere}
        th:last-child,td:last-child{padding-right:0}
        .n{text-align:right;white-space:nowrap}th.n{white-space:normal}
        section.keep{break-inside:avoid}thead{display:table-header-group}tr{break-inside:avoid}
        .facts{display:grid;grid-template-columns:repeat(2,1fr);gap:0 8mm;margin:0;font-size:8.6pt}
        @media screen and (max-width:640px){.facts{grid-template-columns:1fr}.n{white-space:normal}}
        .facts div{display:flex;gap:3mm;border-bottom:1px solid var(--line);padding:.8mm 0}
        .facts dt{color:var(--soft);flex:0 0 30mm}.facts dd{margin:0;overflow-wrap:anywhere}
        .verdict{display:flex;align-items:center;gap:6mm;border:1px solid var(--line);border-left:3mm solid var(--soft);
         background:var(--pale);padding:4mm 5mm;margin:5mm 0;break-inside:avoid}
        .verdict .word{text-align:center}.verdict .word b,.verdict .word span{display:block}.verdict .word span{color:var(--soft)}
        .verdict b{font-size:20pt;text-transform:uppercase;letter-spacing:.03em;white-space:nowrap}
        .verdict.pass{border-left-color:var(--pass)}.verdict.pass b{color:var(--pass)}
        .verdict.fail{border-left-color:var(--fail)}.verdict.fail b{color:var(--fail)}
        .verdict.undecided,.verdict.incomplete,.verdict.unknown{border-left-color:var(--open)}
        .verdict.undecided b,.verdict.incomplete b,.verdict.unknown b{color:var(--open)}
        td.v{font-weight:600;white-space:nowrap;padding-left:2mm}td:first-child.v{padding-left:0}td.pass{color:var(--pass)}td.fail{color:var(--fail)}
        td small{display:block;color:var(--soft);font-size:7.2pt}
        td.undecided,td.nottested,td.unknown{color:var(--open)}
        tr.old td{color:var(--soft)}tr.old td.v{font-weight:400}
        .alarm{border:2px solid var(--fail);color:var(--fail);font-weight:600;padding:2mm 3mm;margin:3mm 0}
        .verdict .found{color:var(--fail);font-weight:600}
        figure{margin:2mm 0 4mm;break-inside:avoid}figure svg{display:block;width:100%;height:auto}
        figcaption{font-size:8.1pt;color:var(--soft);margin-top:1mm}
        .small{font-size:7.8pt;color:var(--soft)}.mono{overflow-wrap:anywhere;font-family:"DejaVu Sans Mono",Consolas,monospace;font-size:7.2pt}
        .end{margin-top:8mm;padding-top:2mm;border-top:1px solid var(--ink);text-align:center;color:var(--soft)}
        @page{size:A4;margin:17mm 14mm 16mm}
        @media print{body.simulated::after{content:"SIMULATED BENCH";position:fixed;top:46%;left:0;width:100%;text-align:center;
         font-size:44pt;font-weight:700;letter-spacing:.06em;white-space:nowrap;color:rgba(176,123,0,.11);transform:rotate(-32deg);z-index:9}
         body{padding:0;max-width:none;font-size:9.2pt}h2{margin-top:7mm}.screen{display:none}}
        """;

    /// <summary>The sheet, with the run's id and its mark in the margins of every printed page.</summary>
    public static string For(string runId, string pageMark)
    {
        var sheet = new StringBuilder(Sheet.ReplaceLineEndings("\n"));
        sheet.Append("\n@page{@bottom-left{content:\"").Append(Escaped($"Run {runId}"));
        sheet.Append("\";font:8pt sans-serif;color:#5b626b}");
        sheet.Append(
            "@bottom-right{content:\"page \" counter(page) \" of \" counter(pages);font:8pt sans-serif;color:#5b626b}"
        );
        if (pageMark.Length > 0)
        {
            sheet.Append("@top-center{content:\"").Append(Escaped(pageMark));
            sheet.Append("\";font:600 9pt sans-serif;color:#5c4000}");
        }
        return sheet.Append("}\n").ToString();
    }

    // A CSS string of anything: all but plain letters and digits as hexadecimal escapes (CSS Syntax 3, 4.3.7).
    private static string Escaped(string text)
    {
        var escaped = new StringBuilder();
        foreach (var rune in text.EnumerateRunes())
        {
            if (rune.IsAscii && (char.IsAsciiLetterOrDigit((char)rune.Value) || rune.Value is '-' or '.' or '_' or ' '))
                escaped.Append((char)rune.Value);
            else
                escaped.Append('\\').Append(rune.Value.ToString("x", CultureInfo.InvariantCulture)).Append(' ');
        }
        return escaped.ToString();
    }
}
