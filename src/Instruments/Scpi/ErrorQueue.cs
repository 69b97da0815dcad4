using System.Globalization;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Instruments.Scpi;

/// <summary>Reads an instrument's error queue until it is empty.</summary>
internal static class ErrorQueue
{
    /// <summary>More entries than this are not read: the queue does not empty.</summary>
    public const int MostEntries = 32;

    private const string Query = "SYSTem:ERRor?";

    /// <summary>Ok when the queue was empty; failed with every entry named otherwise. The queue is empty afterwards.</summary>
    public static async Task<CommandResult> ProveEmptyAsync(ScpiSession session, CancellationToken cancel)
    {
        var found = new List<string>();
        for (var k = 0; k < MostEntries; k++)
        {
            var reply = await session.QueryAsync(Query, cancel);
            if (reply.Result.Outcome != CommandOutcome.Ok)
                return reply.Result;
            if (!TryRead(reply.Text, out var number, out var text))
            {
                session.Exchange.Distrust();
                return CommandResult.Failed(
                    $"{session.Exchange.Name}: {Query} was answered with \"{reply.Text}\"; a number and a text in quotes are allowed."
                );
            }
            if (number == 0)
                return found.Count == 0
                    ? CommandResult.Ok
                    : CommandResult.Failed(
                        $"{session.Exchange.Name}: its error queue held {string.Join("; ", found)}."
                    );
            found.Add($"{number} ({text})");
        }
        return CommandResult.Failed(
            $"{session.Exchange.Name}: its error queue gave {MostEntries} entries and did not end: {string.Join("; ", found.Take(3))}; and so on."
        );
    }

    /// <summary>Takes an entry apart: <c>-113,"Undefined header"</c>. A number alone gets its standard text.</summary>
    public static bool TryRead(string entry, out int number, out string text)
    {
        var comma = entry.IndexOf(',');
        var first = comma < 0 ? entry : entry[..comma];
        text = "";
        if (
            !int.TryParse(
                first.AsSpan().Trim(),
                NumberStyles.AllowLeadingSign,
                CultureInfo.InvariantCulture,
                out number
            )
        )
            return false;
        var rest = comma < 0 ? "" : entry[(comma + 1)..].Trim();
        if (rest.Length == 0)
        {
            text = StandardErrors.Text(number);
            return true;
        }
        return TextReply.TryText(rest, out text);
    }
}
