using System.Text;
using LoadTest.Instruments.Line;

namespace LoadTest.Running;

/// <summary>The simulator's hands on a line: one line of text out, one line back, one at a time.</summary>
/// <remarks>On a real wire an answer has a deadline; a line in memory always answers.</remarks>
internal sealed class Hands
{
    private static readonly TimeSpan Deadline = TimeSpan.FromSeconds(3);

    private readonly ILine _line;
    private readonly TimeProvider? _time;
    private readonly StringBuilder _received = new();
    private TaskCompletionSource<string>? _answer;

    /// <summary>Takes over a line.</summary>
    /// <param name="line">The line.</param>
    /// <param name="time">The pump, for the deadline on a real wire; null for none.</param>
    public Hands(ILine line, TimeProvider? time = null)
    {
        _line = line;
        _time = time;
        line.Received = (bytes, _) => OnReceived(bytes.Span);
        line.Lost = reason => _answer?.TrySetException(new IOException(reason));
    }

    /// <summary>Says a line and waits for the answer.</summary>
    /// <exception cref="IOException">The simulator answered no, or the line is lost.</exception>
    public async Task<string> SayAsync(string words)
    {
        _answer = new TaskCompletionSource<string>();
        _line.Send(Encoding.ASCII.GetBytes(words + "\n"));
        var answer = await AnswerAsync(_answer.Task, words);
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

    private async Task<string> AnswerAsync(Task<string> answer, string words)
    {
        if (_time is null)
            return await answer;
        try
        {
            return await answer.WaitAsync(Deadline, _time);
        }
        catch (TimeoutException late)
        {
            throw new IOException(
                $"The simulator's hands gave no answer to \"{words}\" within {Deadline.TotalSeconds:0} s. Check that `simulate` still runs.",
                late
            );
        }
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
