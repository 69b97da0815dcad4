namespace LoadTest.Sequencer.Text;

/// <summary>Joins texts whose ends are not known: a sentence has one full stop, a clause has none.</summary>
public static class SentenceText
{
    /// <summary>The text as a sentence: <c>the engine stands</c> and <c>the engine stands.</c> both end with one full stop.</summary>
    public static string Of(string text)
    {
        var clause = Clause(text);
        return clause.Length == 0 || clause[^1] is '!' or '?' ? clause : $"{clause}.";
    }

    /// <summary>What an exception says to a person, as a sentence; see <see cref="Clause(Exception)"/>.</summary>
    public static string Of(Exception trouble) => Of(Clause(trouble));

    /// <summary>The text without a full stop, for the middle of a sentence.</summary>
    public static string Clause(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        return text.TrimEnd().TrimEnd('.');
    }

    /// <summary>What an exception says to a person: no object named that only the program knows, no parameter, no full stop.</summary>
    public static string Clause(Exception trouble)
    {
        ArgumentNullException.ThrowIfNull(trouble);
        return trouble switch
        {
            AggregateException { InnerException: { } inner } => Clause(inner),
            ObjectDisposedException => "it was closed here meanwhile",
            OperationCanceledException => "it was given up",
            ArgumentException { ParamName: { } name } => Clause(
                trouble.Message.Replace($" (Parameter '{name}')", "", StringComparison.Ordinal)
            ),
            _ => Clause(trouble.Message.ReplaceLineEndings(" ")),
        };
    }
}
