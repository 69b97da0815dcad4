using System.Text;
using LoadTest.Instruments.Line;

namespace LoadTest.Running;

/// <summary>The simulator's hands on a line: one line of text out, one line back, one at a time.</summary>
internal sealed class Hands
{
    private readonly ILine _line;
    private readonly StringBuilder _received = new();
    private TaskCompletionSource<string>? _answer;

    public Hands(ILine line)
    {
        _line = line;
        line.Received = (bytes, _) => OnReceived(bytes.Span);
        line.Lost = reason => _answer?.TrySetException(new IOException(reason));
    }

    /// <summary>Says a line and waits for the answer.</summary>
    /// <exception cref="IOException">The simulator answered no, or the line is lost.</exception>
    public async Task<string> SayAsync(string words)
    {
        _answer = new TaskCompletionSource<string>();
        _line.Send(Encoding.ASCII.GetBytes(words + "\n"));
        var answer = await _answer.Task;
        return answer.StartsWith("no", StringComparison.Ordinal)
            ? throw new IOException($"The simulator's hands answered \"{answer}\" to \"{words}\".")
            : answer;
    }

    /// <summary>Asks for a number.</summary>
    public async Task<double> ReadAsync(string words)
    {
        var answer = await SayAsync(words);
        return double.Parse(answer["value ".Length..], System.Globalization.CultureInfo.InvariantCulture);
    }

    private void OnReceived(ReadOnlySpan<byte> bytes)
    {
        _received.Append(Encoding.ASCII.GetString(bytes));
        var text = _received.ToString();
        var end = text.IndexOf('\n', StringComparison.Ordinal);
        if (end < 0)
            return;
        _received.Remove(0, end + 1);
        _answer?.TrySetResult(text[..end].TrimEnd('\r'));
    }
}
