using LoadTest.Sequencer.Ports;

namespace LoadTest.Hunting;

/// <summary>The script at the bench, which may be told to say no or to be gone.</summary>
internal sealed class HuntOperator(IOperator script) : IOperator
{
    private bool _saysNo;
    private bool _isLost;
    private TaskCompletionSource<Answer>? _lost;

    public bool IsPerson => script.IsPerson;

    /// <summary>Answers no once.</summary>
    public void SayNo() => _saysNo = true;

    /// <summary>Answers nothing any more; a question that is open is lost too.</summary>
    public void Leave()
    {
        _isLost = true;
        _lost?.TrySetException(Gone());
    }

    public async Task<Answer> AskAsync(Question question, CancellationToken cancel)
    {
        if (_isLost)
            throw Gone();
        _lost = new TaskCompletionSource<Answer>();
        var answer = await await Task.WhenAny(script.AskAsync(question, cancel), _lost.Task);
        if (!_saysNo)
            return answer;
        _saysNo = false;
        return answer with { Yes = false, Number = null };
    }

    private static IOException Gone() => new("The operator has left.");
}
