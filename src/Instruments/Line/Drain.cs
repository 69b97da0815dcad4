namespace LoadTest.Instruments.Line;

/// <summary>When a line is fit for the next request: silence kept, late replies seen or waited out, noise over.</summary>
internal sealed class Drain(LineRules rules, LinkCounters counters, long turnAround, long silence, long lateWindow)
{
    /// <summary>Unanswered known questions remembered; so many good answers, each after a silence, end the doubt at the latest.</summary>
    private const int MostProbesRemembered = 8;

    /// <summary>Answers awaited at once: whoever asks for urgent frames faster than they are answered must not hold all else back for ever.</summary>
    private const int MostOwed = 4;

    private readonly List<(Transaction Request, long Until)> _owed = [];
    private long _lastByte = long.MinValue / 4;
    private long _dirtyUntil = long.MinValue;
    private bool _isDirty;
    private int _unansweredProbes;

    /// <summary>Whether an answer is still out that could be taken for a later one.</summary>
    public bool Owes => _owed.Count > 0;

    /// <summary>Whether an answer that never came, or one of another request, may still be mistaken for a later one.</summary>
    public bool IsOutOfStep { get; private set; }

    /// <summary>When the silence kept after the last byte is over.</summary>
    public long QuietAt => _lastByte + turnAround;

    /// <summary>Bytes came at this moment.</summary>
    public void Heard(long stamp) => _lastByte = Math.Max(_lastByte, stamp);

    /// <summary>Nothing more is known of what may still come: wait until then, and for silence.</summary>
    public void Foul(long until)
    {
        _isDirty = true;
        _dirtyUntil = Math.Max(_dirtyUntil, until);
    }

    /// <summary>Until when the last of the answers still out is awaited.</summary>
    public long OwesUntil => _owed.Count > 0 ? _owed[^1].Until : long.MinValue / 4;

    /// <summary>The answer to this frame is still out: wait for it until then; false when too many are out to wait for another.</summary>
    public bool Owe(Transaction request, long until)
    {
        if (_owed.Count == MostOwed)
            return false;
        _owed.Add((request, until));
        return true;
    }

    /// <summary>The answer to this request did not come in time: it is awaited, and thrown away, until then.</summary>
    public void OweLate(Transaction request, long until)
    {
        Owe(request, until);
        CountProbe(request);
    }

    /// <summary>What came back to this request was another's or could not be told: nobody knows what is still out.</summary>
    public void LoseStep(Transaction request)
    {
        if (rules.HasNumbers)
            return;
        IsOutOfStep = true;
        CountProbe(request);
    }

    /// <summary>A known question got its known answer: replies and requests are in step, and true is returned.</summary>
    /// <remarks>
    /// When the same question went unanswered before, this may be its late answer, and the true one still on its way: then a
    /// silence is kept first, and the question must be asked once more for each that went unanswered, up to a bound.
    /// </remarks>
    /// <param name="now">The present.</param>
    /// <param name="isUnmistakable">Whether this very question was never asked before, so that no earlier answer fits it.</param>
    public bool Trust(long now, bool isUnmistakable)
    {
        if (_unansweredProbes == 0 || isUnmistakable)
        {
            _unansweredProbes = 0;
            IsOutOfStep = false;
            return true;
        }
        _unansweredProbes--;
        KeepSilence(now);
        return false;
    }

    /// <summary>A question got an answer of another kind: the true one is still out, so wait as after a missed deadline.</summary>
    public void Distrust(long now)
    {
        CountProbe();
        KeepSilence(now);
    }

    /// <summary>The line was lost and is back: nothing asked before is answered any more, and nobody knows who answers now.</summary>
    public void Renew()
    {
        _owed.Clear();
        _isDirty = false;
        _dirtyUntil = long.MinValue;
        _unansweredProbes = 0;
        IsOutOfStep = true;
    }

    /// <summary>Earliest moment at which the next request may leave.</summary>
    public long ReadyAt()
    {
        var ready = QuietAt;
        if (_isDirty)
            ready = Math.Max(ready, Math.Max(_dirtyUntil, _lastByte + silence));
        foreach (var (_, until) in _owed)
            ready = Math.Max(ready, until);
        return ready;
    }

    /// <summary>If these bytes begin with the answer still out the longest, that one is in; returns how many bytes it took.</summary>
    public int Settle(ReadOnlySpan<byte> received)
    {
        if (_owed.Count == 0 || received.IsEmpty)
            return 0;
        var (verdict, used) = _owed[0].Request.Examine(received);
        if (verdict != Verdict.Reply)
            return 0;
        TakeAnswer();
        return used;
    }

    /// <summary>Throws away what nobody waits for.</summary>
    /// <param name="buffer">What was received.</param>
    /// <param name="stamp">When.</param>
    public void Discard(ReceiveBuffer buffer, long stamp)
    {
        if (rules.WholeFrames is { } wholeFrames)
        {
            DiscardFrames(buffer, wholeFrames, stamp);
            return;
        }
        // When an earlier answer never came, nobody knows whose this one is, and more may follow it.
        if (IsOutOfStep && !buffer.IsEmpty)
            Foul(stamp + lateWindow);
        while (!buffer.IsEmpty && Owes)
        {
            var (verdict, used) = _owed[0].Request.Examine(buffer.Span);
            if (verdict == Verdict.More)
                return;
            if (verdict != Verdict.Reply)
                break;
            counters.Discarded++;
            TakeAnswer();
            buffer.Consume(used);
        }
        if (buffer.IsEmpty)
            return;
        counters.Discarded++;
        buffer.Clear();
        Foul(stamp);
        IsOutOfStep = true;
    }

    /// <summary>The wait is over; what is left over is thrown away, and an answer that never came leaves the link out of step.</summary>
    public void End(ReceiveBuffer buffer)
    {
        IsOutOfStep |= Owes && !rules.HasNumbers;
        if (!buffer.IsEmpty && (_isDirty || rules.WholeFrames is null))
        {
            counters.Discarded++;
            buffer.Clear();
        }
        _owed.Clear();
        _isDirty = false;
        _dirtyUntil = long.MinValue;
    }

    /// <summary>The answer still out the longest is in; of an urgent frame it counts when it says that it was done.</summary>
    private void TakeAnswer()
    {
        var (request, until) = _owed[0];
        _owed.RemoveAt(0);
        if (request.Count is null)
            counters.Note(LateWords(request, _lastByte - (until - lateWindow)));
        else if (request.IsDone)
            request.Count.Answer();
        else
            counters.Note($"The answer to {request.Words} refuses it.");
    }

    /// <summary>What is said of an answer that came behind its deadline, by so much of it.</summary>
    private static string LateWords(Transaction request, long late)
    {
        var deadline = request.Deadline.TotalMilliseconds;
        var by = deadline * late / Math.Max(1, request.DeadlineTicks);
        return $"The answer to {request.Words} came {by:0} ms after its deadline of {deadline:0.#} ms. "
            + "Give its definition a `deadline` longer than the instrument takes, or set a shorter integration time.";
    }

    private void KeepSilence(long now)
    {
        IsOutOfStep |= !rules.HasNumbers;
        Foul(now + lateWindow);
    }

    private void CountProbe(Transaction request)
    {
        if (request.MayLeaveInDoubt)
            CountProbe();
    }

    private void CountProbe() => _unansweredProbes = Math.Min(_unansweredProbes + 1, MostProbesRemembered);

    /// <summary>With transaction numbers, whole frames go and a frame still growing stays, so that framing is kept.</summary>
    private void DiscardFrames(ReceiveBuffer buffer, Func<ReadOnlySpan<byte>, int> wholeFrames, long stamp)
    {
        while (Owes && !buffer.IsEmpty)
        {
            var (verdict, used) = _owed[0].Request.Examine(buffer.Span);
            if (verdict == Verdict.Reply)
                TakeAnswer();
            else if (verdict == Verdict.Stale)
                counters.Discarded++;
            else
                break;
            buffer.Consume(used);
        }
        if (buffer.IsEmpty)
            return;
        var whole = wholeFrames(buffer.Span);
        if (whole == 0)
            return;
        counters.Discarded++;
        if (whole > 0)
        {
            buffer.Consume(whole);
            return;
        }
        buffer.Clear();
        Foul(stamp);
    }
}
