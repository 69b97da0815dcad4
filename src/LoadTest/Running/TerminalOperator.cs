using LoadTest.Records;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;

namespace LoadTest.Running;

/// <summary>A person at a terminal; at a simulated machine the hands do what the person says is done.</summary>
/// <remarks>
/// In real time a thread of its own reads lines: <c>stop</c> removes the load at once, whatever is being asked. In virtual time
/// the pump itself waits for the line, and the world stands still meanwhile.
/// </remarks>
internal sealed class TerminalOperator : IOperator
{
    private readonly TextReader _input;
    private readonly Action<string> _show;
    private readonly Pump _pump;
    private readonly HandWork? _work;
    private readonly string _who;
    private readonly Queue<string> _early = new();
    private TaskCompletionSource<string>? _waiting;
    private LoadRemoval? _removal;
    private string? _lost;

    /// <summary>A person of this name.</summary>
    /// <param name="input">Where lines come from.</param>
    /// <param name="show">Shows words, without a line end of its own.</param>
    /// <param name="pump">The pump.</param>
    /// <param name="work">The hands at the simulated machine; null at a real one, where the person does everything.</param>
    /// <param name="who">Name of the person.</param>
    public TerminalOperator(TextReader input, Action<string> show, Pump pump, HandWork? work, string who)
    {
        _input = input;
        _show = show;
        _pump = pump;
        _work = work;
        _who = who;
    }

    public bool IsPerson => true;

    /// <summary>Whether lines that come before they are asked for count, as from a file; typed ahead at a keyboard they do not.</summary>
    public bool KeepsEarlyLines { get; init; }

    /// <summary>Begins to listen; from now on <c>stop</c> removes this load.</summary>
    public void Guard(LoadRemoval removal)
    {
        _removal = removal;
        _show("Type \"stop\" and Enter at any time to remove the load.\n");
        if (!_pump.IsVirtual)
            new Thread(Listen) { IsBackground = true, Name = "terminal" }.Start();
    }

    public async Task<Answer> AskAsync(Question question, CancellationToken cancel)
    {
        var panel = _work is null ? null : await _work.ReadAsync(question);
        _show($"\n{question.Text}\n");
        if (panel is { } shown)
            _show($"  (the simulated panel shows {shown})\n");
        while (true)
        {
            _show($"  {Wanted(question)} > ");
            var line = (await LineAsync(cancel)).Trim();
            if (Read(question, line) is not { } answer)
                continue;
            if (answer.Yes && _work is not null)
                await _work.DoAsync(question, cancel);
            return answer;
        }
    }

    private static string Wanted(Question question) =>
        question.Kind switch
        {
            QuestionKind.Number => $"number{ReportSymbol(question.Unit)}, or none",
            QuestionKind.Acknowledge => "y to acknowledge, n",
            QuestionKind.Do => "y when done, n",
            _ => "y, or n and why",
        };

    private static string ReportSymbol(Unit unit) =>
        ResultWords.Shown(unit).Symbol is { Length: > 0 } symbol ? $" in {symbol}" : "";

    private Answer? Read(Question question, string line)
    {
        if (question.Kind == QuestionKind.Number)
            return Number(question, line);
        var words = line.Split(' ', 2, StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries);
        var remark = words.Length > 1 ? words[1] : "";
        return words switch
        {
            ["y" or "yes" or "Y", ..] => new Answer(true, null, remark, _who),
            ["n" or "no" or "N", ..] => new Answer(false, null, remark, _who),
            _ => null,
        };
    }

    private Answer? Number(Question question, string line)
    {
        if (line == "none")
            return new Answer(true, null, "no value", _who);
        if (TypedNumber.Read(line, question.Unit) is not { } typed)
            return null;
        if (question.Display?.Objection(typed.Value, question.Unit) is { } why)
        {
            _show($"  {why}\n");
            return null;
        }
        return typed.Answer(_who);
    }

    private async Task<string> LineAsync(CancellationToken cancel)
    {
        if (_pump.IsVirtual)
        {
            if (Taken(_input.ReadLine()) is { } line)
                return line;
            ThrowIfLost();
            // Asked to stop: whoever asked the question withdraws it.
            await Task.Delay(Timeout.InfiniteTimeSpan, _pump, cancel);
        }
        if (_early.TryDequeue(out var early))
            return early;
        ThrowIfLost();
        _waiting = new TaskCompletionSource<string>();
        return await _waiting.Task.WaitAsync(cancel);
    }

    private void ThrowIfLost()
    {
        if (_lost is { } lost)
            throw new IOException(lost);
    }

    // On the reader's thread in real time, on the pump in virtual time.
    private string? Taken(string? line)
    {
        if (line is null)
            _lost = "The terminal was closed: its input has ended.";
        else if (string.Equals(line.Trim(), "stop", StringComparison.OrdinalIgnoreCase))
            _removal?.RemoveLoad(new RemovalCause("STOP", $"{_who} asked to stop."));
        else
            return line;
        return null;
    }

    // A terminal that has gone, or one that is no longer ours, fails to be read.
    private string? ReadLine()
    {
        try
        {
            return _input.ReadLine();
        }
        catch (IOException)
        {
            return null;
        }
    }

    private void Listen()
    {
        while (true)
        {
            var line = ReadLine();
            if (Taken(line) is { } taken)
                _pump.Post(() => Arrived(taken));
            if (line is not null)
                continue;
            _pump.Post(() => _waiting?.TrySetException(new IOException(_lost)));
            return;
        }
    }

    private void Arrived(string line)
    {
        if (_waiting?.TrySetResult(line) != true && KeepsEarlyLines)
            _early.Enqueue(line);
    }
}
