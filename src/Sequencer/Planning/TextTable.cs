using System.Collections.Immutable;

namespace LoadTest.Sequencer.Planning;

/// <summary>A table as data: whoever shows it decides how.</summary>
/// <param name="Title">Heading.</param>
/// <param name="Columns">Columns, unit in the heading.</param>
/// <param name="Rows">Cells by row, one for each column; empty where nothing applies.</param>
public sealed record TextTable(
    string Title,
    ImmutableArray<TextColumn> Columns,
    ImmutableArray<ImmutableArray<string>> Rows
);

/// <summary>A column of a table.</summary>
/// <param name="Heading">Heading, unit included.</param>
/// <param name="IsNumber">Whether its cells are numbers, to be aligned at the right.</param>
public sealed record TextColumn(string Heading, bool IsNumber);
