using System.Collections.Immutable;
using System.Text.Json;
using System.Text.Json.Nodes;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Text;
using Spectre.Console;

namespace LoadTest.Commands;

/// <summary>Where a command shows what it has to say: lines and tables for a person, or one JSON document.</summary>
/// <remarks>
/// With JSON nothing but the document goes to standard output, once. Trouble goes to standard error in either case, and into
/// the document. Lines may come from any thread; tables and the document from the command's own.
/// </remarks>
internal sealed class Screen
{
    private static readonly JsonSerializerOptions Form = new()
    {
        Encoder = System.Text.Encodings.Web.JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
    };

    private readonly TextWriter _output;
    private readonly TextWriter _trouble;
    private readonly IAnsiConsole? _console;
    private readonly int? _width;
    private readonly Lock _gate = new();
    private bool _isEmitted;

    /// <summary>Shows on these writers.</summary>
    /// <param name="output">Standard output.</param>
    /// <param name="trouble">Standard error.</param>
    /// <param name="isTerminal">Whether a person looks at the output: tables get lines and verdicts colours.</param>
    /// <param name="hasColour">Whether colours are wanted; see NO_COLOR.</param>
    /// <param name="isJson">Whether one JSON document is wanted instead.</param>
    /// <param name="width">Columns of the terminal; null where there is none or nobody knows.</param>
    public Screen(
        TextWriter output,
        TextWriter trouble,
        bool isTerminal,
        bool hasColour,
        bool isJson,
        int? width = null
    )
    {
        _width = isTerminal ? width : null;
        _output = output;
        _trouble = trouble;
        IsJson = isJson;
        if (isTerminal && !isJson)
        {
            _console = AnsiConsole.Create(
                new AnsiConsoleSettings
                {
                    Ansi = AnsiSupport.Detect,
                    ColorSystem = hasColour ? ColorSystemSupport.Detect : ColorSystemSupport.NoColors,
                    Out = new AnsiConsoleOutput(output),
                }
            );
        }
    }

    /// <summary>The screen of this process.</summary>
    public static Screen OfProcess(bool isJson) =>
        new(
            Console.Out,
            Console.Error,
            !Console.IsOutputRedirected,
            string.IsNullOrEmpty(Environment.GetEnvironmentVariable("NO_COLOR")),
            isJson,
            TerminalWidth()
        );

    private static int? TerminalWidth()
    {
        try
        {
            return Console.IsOutputRedirected ? null : Console.WindowWidth;
        }
        catch (IOException)
        {
            return null;
        }
    }

    /// <summary>Whether one JSON document is wanted.</summary>
    public bool IsJson { get; }

    /// <summary>The document; shown at the end, or when the command says so.</summary>
    public JsonObject Document { get; } = [];

    /// <summary>A line for a person.</summary>
    public void Line(string text = "")
    {
        if (IsJson)
            return;
        lock (_gate)
        {
            _output.WriteLine(Shown(text));
            _output.Flush();
        }
    }

    /// <summary>Begins anew at the top on a terminal; an empty line elsewhere.</summary>
    public void Clear()
    {
        if (IsJson)
            return;
        lock (_gate)
        {
            if (_console is not null)
                _console.Clear();
            else
                _output.WriteLine();
        }
    }

    /// <summary>A line that asks for an answer on the same line.</summary>
    public void Prompt(string text)
    {
        lock (_gate)
        {
            (IsJson ? _trouble : _output).Write(Shown(text));
            (IsJson ? _trouble : _output).Flush();
        }
    }

    /// <summary>Something a person must see, on standard error and in the document.</summary>
    public void Trouble(string text)
    {
        lock (_gate)
        {
            _trouble.WriteLine(Shown(text));
            _trouble.Flush();
            if (Document["trouble"] is not JsonArray list)
                Document["trouble"] = list = [];
            list.Add(text);
        }
    }

    /// <summary>A table: drawn on a terminal, columns set apart by spaces elsewhere.</summary>
    public void Table(TextTable table)
    {
        if (IsJson)
            return;
        table = table with
        {
            Rows = [.. table.Rows.Select(r => r.Select(cell => VisibleText.Of(cell)).ToImmutableArray())],
        };
        lock (_gate)
        {
            if (_console is not null)
                _console.Write(Drawn(table));
            else
                Plain(table);
        }
    }

    /// <summary>A table as JSON: one object a row, headings as names.</summary>
    public static JsonArray Rows(TextTable table) =>
        [
            .. table.Rows.Select(row => new JsonObject(
                table.Columns.Zip(row, (c, cell) => KeyValuePair.Create(c.Heading, (JsonNode?)JsonValue.Create(cell)))
            )),
        ];

    /// <summary>Findings, errors first in the order of their places, and whether any is an error.</summary>
    public bool Findings(IEnumerable<Finding> findings)
    {
        var list = Document["findings"] as JsonArray ?? [];
        Document["findings"] = list;
        var hasError = false;
        foreach (var finding in findings)
        {
            hasError |= finding.Severity == Severity.Error;
            list.Add(
                new JsonObject
                {
                    ["file"] = finding.Place.File,
                    ["line"] = finding.Place.Line,
                    ["column"] = finding.Place.Column,
                    ["severity"] = Word(finding.Severity),
                    ["message"] = finding.Message,
                }
            );
            Line($"{finding.Place}: {Word(finding.Severity)}: {finding.Message}");
        }
        return hasError;
    }

    /// <summary>Shows the document, once; nothing without JSON.</summary>
    public void Emit()
    {
        if (!IsJson || _isEmitted)
            return;
        _isEmitted = true;
        lock (_gate)
        {
            _output.WriteLine(VisibleText.OfJson(Document.ToJsonString(Form)));
            _output.Flush();
        }
    }

    private string Shown(string text) => WrappedText.Of(VisibleText.Of(text, keepsLines: true), _width);

    private static string Word(Severity severity) =>
        severity switch
        {
            Severity.Error => "error",
            Severity.Warning => "warning",
            _ => "note",
        };

    private static Table Drawn(TextTable table)
    {
        var drawn = new Table { Border = TableBorder.Simple, ShowHeaders = true };
        drawn.Title(new TableTitle(Markup.Escape(table.Title)));
        foreach (var column in table.Columns)
        {
            var head = new TableColumn(Markup.Escape(column.Heading));
            drawn.AddColumn(column.IsNumber ? head.RightAligned() : head.LeftAligned());
        }
        foreach (var row in table.Rows)
            drawn.AddRow([.. row.Select(cell => new Markup(Coloured(cell)))]);
        return drawn;
    }

    private static string Coloured(string cell) =>
        cell switch
        {
            "pass" => "[green]pass[/]",
            "fail" => "[red]fail[/]",
            "undecided" or "not tested" or "incomplete" => $"[yellow]{cell}[/]",
            _ => Markup.Escape(cell),
        };

    private void Plain(TextTable table)
    {
        var widths = table
            .Columns.Select(
                (c, k) => Math.Max(Width(c.Heading), table.Rows.Select(r => Width(r[k])).DefaultIfEmpty(0).Max())
            )
            .ToArray();
        string Row(IEnumerable<string> cells) =>
            string.Join(
                    "  ",
                    cells.Select(
                        (cell, k) => table.Columns[k].IsNumber ? Left(cell, widths[k]) : Right(cell, widths[k])
                    )
                )
                .TrimEnd();
        _output.WriteLine(table.Title);
        _output.WriteLine("  " + Row(table.Columns.Select(c => c.Heading)));
        foreach (var row in table.Rows)
            _output.WriteLine("  " + Row(row));
        _output.Flush();
    }

    private static int Width(string cell) => new System.Globalization.StringInfo(cell).LengthInTextElements;

    private static string Left(string cell, int width) => new string(' ', width - Width(cell)) + cell;

    private static string Right(string cell, int width) => cell + new string(' ', width - Width(cell));
}
