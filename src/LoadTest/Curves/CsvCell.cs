using LoadTest.Sequencer.Text;

namespace LoadTest.Curves;

/// <summary>One cell of a table, as text, with where it stands.</summary>
/// <param name="Place">Where its text begins.</param>
/// <param name="Text">Its text, quotes and surrounding spaces taken off.</param>
internal readonly record struct CsvCell(Place Place, string Text);
