using LoadTest.Sequencer.Text;

namespace LoadTest.Instruments.Line;

/// <summary>The one place above a line where deadline, drain and matching live: one transaction in flight, the others queued.</summary>
/// <remarks>
/// Everything but <see cref="SendUrgent"/> runs on the pump. A transaction waits for the line at most its deadline, and
/// for its reply at most its deadline. After a missed deadline or a bad frame the line is drained before the next
/// request: late bytes are thrown away and counted, and on a protocol without transaction numbers the link is
/// suspect until <see cref="Trust"/> says that a known question got its known answer. After an urgent frame the next request
/// waits for that frame's answer, at most its deadline: an instrument that serves one request at a time, slowly, would answer
/// too late whatever was asked behind it.
/// </remarks>
internal sealed class Exchange
{
    private readonly ILine _line;
    private readonly TimeProvider _time;
    private readonly LineRules _rules;
    private readonly WriteGate _gate;
    private readonly ReceiveBuffer _buffer = new();
    private readonly Queue<Transaction> _queue = new();
    private readonly Drain _drain;
    private readonly ITimer _timer;
    private long _armedFor = long.MaxValue;
    private long _due;
    private ushort _number;
    private long _urgentUntil = long.MinValue / 4;
    private bool _isSending;
    private Transaction? _current;
    private string? _lost;

    public Exchange(ILine line, TimeProvider time, LineRules rules)
    {
        _line = line;
        _time = time;
        _rules = rules;
        _gate = new WriteGate(line, time, Counters);
        _drain = new Drain(rules, Counters, Ticks(rules.TurnAround), Ticks(rules.Silence), Ticks(rules.LateWindow));
        _timer = time.CreateTimer(_ => OnTimer(), null, Timeout.InfiniteTimeSpan, Timeout.InfiniteTimeSpan);
        line.Received = OnReceived;
        line.Lost = OnLost;
        line.Reopened = _gate.Reopen;
        line.Returned = OnReturned;
    }

    public LinkCounters Counters { get; } = new();

    public string Name => _line.Name;

    /// <summary>Whether a reply that never came could still be mistaken for a later one.</summary>
    public bool IsSuspect => (_drain.Owes && !_rules.HasNumbers) || _drain.IsOutOfStep;

    /// <summary>Whether the line was lost and came back, and nobody has said since who is at its other end.</summary>
    public bool IsStranger { get; private set; }

    /// <summary>Whether the identity has to be asked before anything else is.</summary>
    public bool IsInDoubt => IsSuspect || IsStranger;

    /// <summary>Whoever is at the other end said who it is, in full.</summary>
    public void Recognise() => IsStranger = false;

    /// <summary>Whether an urgent frame waits for the wire; from any thread.</summary>
    public bool HasUrgentWaiting => _gate.HasWaiting;

    /// <summary>A known question got its known answer; see <see cref="Drain.Trust"/>.</summary>
    public bool Trust(bool isUnmistakable = false) => _drain.Trust(_time.GetTimestamp(), isUnmistakable);

    /// <summary>A question got an answer of another kind: the true one is still out.</summary>
    public void Distrust() => _drain.Distrust(_time.GetTimestamp());

    /// <summary>Carries out one transaction after those already waiting; never throws, never cancelled once sent.</summary>
    public Task<Reply> RunAsync(Transaction request, CancellationToken cancel)
    {
        var now = _time.GetTimestamp();
        request.Completion = new TaskCompletionSource<Reply>();
        request.IsAtRest = false;
        request.IsSent = false;
        request.StaleFrames = 0;
        request.DeadlineTicks = Ticks(request.Deadline);
        request.SendBy = now + request.DeadlineTicks;
        if (_lost is not null)
            request.Complete(new Reply(ReplyKind.NotSent, now, _lost));
        else if (cancel.IsCancellationRequested)
            request.Complete(new Reply(ReplyKind.NotSent, now, "Given up before it was sent."));
        else
        {
            if (cancel.CanBeCanceled)
                request.Registration = cancel.UnsafeRegister(static (r, _) => GiveUp((Transaction)r!), request);
            _queue.Enqueue(request);
            Advance();
        }
        return request.Completion.Task;
    }

    /// <summary>Writes a frame ahead of everything else: from any thread, synchronous, never throws.</summary>
    public void SendUrgent(Transaction frame)
    {
        frame.DeadlineTicks = Ticks(frame.Deadline);
        if (!_gate.IsPumpThread)
        {
            _gate.SendUrgent(frame);
            return;
        }
        var wasSending = _isSending;
        _isSending = true;
        _gate.SendUrgent(frame);
        _isSending = wasSending;
        if (_gate.HasWaiting)
            Arm(_gate.BusyUntil);
        if (!wasSending && !_buffer.IsEmpty)
            Process(_time.GetTimestamp());
    }

    private static void GiveUp(Transaction request) =>
        request.Completion!.TrySetResult(
            request.IsSent
                ? new Reply(ReplyKind.GivenUp, 0, "Given up while the reply was awaited.")
                : new Reply(ReplyKind.NotSent, 0, "Given up before it was sent.")
        );

    private void OnReceived(ReadOnlyMemory<byte> bytes, long stamp)
    {
        if (_current is { } late && !_isSending && stamp > _due)
            Expire(late, stamp);
        _drain.Heard(stamp);
        if (!_buffer.Append(bytes.Span))
            Counters.Note(
                $"{Name}: more than {ReceiveBuffer.MostBytes} bytes came without a frame in them; they were thrown away."
            );
        if (!_isSending)
            Process(stamp);
    }

    private void OnTimer()
    {
        _armedFor = long.MaxValue;
        var now = _time.GetTimestamp();
        if (_current is { } request && now >= _due)
            Expire(request, now);
        _gate.Flush(now);
        Advance();
    }

    private void OnLost(string reason)
    {
        _lost = reason;
        _buffer.Clear();
        Counters.Note($"{Name}: {reason}");
        var now = _time.GetTimestamp();
        // Those waiting leave the queue first: ending the one in flight must not send the next on a lost line.
        var waiting = _queue.ToArray();
        _queue.Clear();
        if (_current is { } request)
            End(request, new Reply(ReplyKind.Lost, now, reason), now);
        foreach (var unsent in waiting)
            unsent.Complete(new Reply(ReplyKind.NotSent, now, reason));
    }

    private void OnReturned()
    {
        _lost = null;
        _drain.Renew();
        IsStranger = true;
        Counters.CountReturn();
        Counters.Note($"{Name}: the line is back.");
        _gate.Welcome();
        if (_gate.HasWaiting)
            Arm(_gate.BusyUntil);
        Process(_time.GetTimestamp());
        Advance();
    }

    /// <summary>Understands what was received, frame by frame.</summary>
    private void Process(long stamp)
    {
        // What comes from a line before it is said to be back is looked at then.
        if (_lost is not null)
            return;
        SeeUrgent();
        while (_current is { } request && !_buffer.IsEmpty)
        {
            var (verdict, used) = request.Examine(_buffer.Span);
            switch (verdict)
            {
                case Verdict.More:
                    return;
                case Verdict.Reply:
                    Accept(request, used, stamp);
                    return;
                case Verdict.Urgent:
                    var answered = _drain.Settle(_buffer.Span);
                    _buffer.Consume(answered > 0 ? answered : used);
                    break;
                case Verdict.Stale or Verdict.Garbage when _drain.Settle(_buffer.Span) is > 0 and var settled:
                    _buffer.Consume(settled);
                    break;
                case Verdict.Stale
                    when request.StaleFrames < LineRules.MostStaleFrames && !BadReply.IsEcho(request, _buffer.Span):
                    request.StaleFrames++;
                    Counters.Discarded++;
                    _drain.LoseStep(request);
                    _buffer.Consume(used);
                    break;
                case Verdict.Damaged when !BadReply.IsEcho(request, _buffer.Span):
                    EndBad(request, ReplyKind.Damaged, BadReply.Words(request, _buffer.Span), stamp, stamp);
                    return;
                default:
                    EndBad(request, ReplyKind.Bad, BadReply.Words(request, _buffer.Span), stamp, _due);
                    return;
            }
        }
        if (_current is null)
            Discard(stamp);
    }

    /// <summary>The reply is here; bytes behind it are another's, and without numbers nobody can say which of the two is ours.</summary>
    private void Accept(Transaction request, int used, long stamp)
    {
        _buffer.Consume(used);
        if (!_rules.HasNumbers && !_buffer.IsEmpty && _drain.Settle(_buffer.Span) != _buffer.Count)
        {
            EndBad(request, ReplyKind.Bad, BadReply.Twice(request, _buffer.Span), stamp, stamp);
            return;
        }
        if (_rules.HasNumbers)
            _drain.Discard(_buffer, stamp);
        else
            _buffer.Clear();
        Counters.Replies++;
        Counters.FailedInARow = 0;
        End(request, new Reply(ReplyKind.Complete, stamp, ""), stamp);
    }

    private void Discard(long stamp)
    {
        _drain.Discard(_buffer, stamp);
        if (!_rules.HasNumbers && !_drain.Owes)
            _gate.Free(_drain.QuietAt, stamp);
        Advance();
    }

    private void Expire(Transaction request, long now)
    {
        Counters.Timeouts++;
        Counters.FailedInARow++;
        var detail = $"{Name}: no reply to {request.Words} within {request.Deadline.TotalMilliseconds:0.#} ms.";
        Counters.Note(detail);
        if (!_rules.HasNumbers)
            _drain.OweLate(request, _due + Ticks(_rules.LateWindow));
        else if (!_buffer.IsEmpty)
            _drain.Foul(now);
        End(request, new Reply(ReplyKind.TimedOut, _due, detail), now);
    }

    private void EndBad(Transaction request, ReplyKind kind, string what, long stamp, long drainUntil)
    {
        _buffer.Clear();
        Counters.BadFrames++;
        Counters.FailedInARow++;
        var detail = $"{Name}: to {request.Words} {what}.";
        Counters.Note(detail);
        if (kind == ReplyKind.Bad)
            _drain.LoseStep(request);
        _drain.Foul(drainUntil);
        End(request, new Reply(kind, stamp, detail), stamp);
    }

    /// <summary>Frees the wire, urgent frames first, then tells who waited, then sends the next.</summary>
    private void End(Transaction request, Reply reply, long now)
    {
        _current = null;
        _gate.Free(_drain.QuietAt, now);
        SeeUrgent();
        request.Complete(reply);
        Advance();
    }

    /// <summary>Sends the next request as soon as the line allows, and sets the timer for whatever comes first.</summary>
    private void Advance()
    {
        while (_current is null && !_isSending)
        {
            SeeUrgent();
            var now = _time.GetTimestamp();
            if (_gate.HasWaiting)
            {
                _gate.Flush(now);
                Arm(_gate.BusyUntil);
            }
            if (!_queue.TryPeek(out var next))
                return;
            var sendBy = Math.Max(next.SendBy, _urgentUntil + next.DeadlineTicks);
            if (next.IsGivenUp || now > sendBy)
            {
                _queue.Dequeue();
                TellTooLate(next, now);
                continue;
            }
            var ready = _drain.ReadyAt();
            if (now < ready || _gate.HasWaiting)
            {
                Arm(Math.Min(Math.Max(ready, now + 1), sendBy + 1));
                return;
            }
            _drain.End(_buffer);
            _queue.Dequeue();
            if (_drain.IsOutOfStep && !next.MayLeaveInDoubt)
                Refuse(next, now, "an earlier reply is in doubt");
            else
                Send(next, now);
        }
        if (_current is not null)
            Arm(_due);
    }

    private void TellTooLate(Transaction request, long now)
    {
        if (request.IsGivenUp)
            return;
        var detail =
            $"{Name}: {request.Words} was not sent, because the line was not free within {request.Deadline.TotalMilliseconds:0.#} ms.";
        Counters.Note(detail);
        request.Complete(new Reply(ReplyKind.NotSent, now, detail));
    }

    private void Send(Transaction request, long now)
    {
        // Number 0 is left to urgent frames, whose answers nobody awaits.
        _number = _number == ushort.MaxValue ? (ushort)1 : (ushort)(_number + 1);
        request.Number(_number);
        _due = now + request.DeadlineTicks;
        _isSending = true;
        GateOutcome outcome;
        try
        {
            outcome = _gate.Send(request, _due);
        }
        catch (IOException trouble)
        {
            _isSending = false;
            var detail = SentenceText.Of(trouble);
            Counters.Note(detail);
            request.Complete(new Reply(ReplyKind.Lost, now, detail));
            return;
        }
        _isSending = false;
        if (outcome != GateOutcome.Sent)
        {
            var reason = outcome switch
            {
                GateOutcome.Refused => "the load was removed, or the permit is of another run or step",
                GateOutcome.Stranger => "the line was lost and is open again, and who is at its other end is not known",
                _ => "the load is being removed",
            };
            Refuse(request, now, reason);
            return;
        }
        request.IsSent = true;
        Counters.Sent++;
        if (!request.ExpectsReply)
        {
            _gate.Free(_drain.QuietAt, now);
            request.Complete(new Reply(ReplyKind.Complete, now, ""));
            return;
        }
        _current = request;
        if (!_buffer.IsEmpty)
            Process(_time.GetTimestamp());
    }

    private void Refuse(Transaction request, long now, string reason) =>
        request.Complete(new Reply(ReplyKind.NotSent, now, $"{Name}: {request.Words} was not sent: {reason}."));

    /// <summary>Urgent frames left since the last look: their answers are awaited before the next request.</summary>
    private void SeeUrgent()
    {
        if (_gate.HasUnseen)
            _gate.TakeUnseen(AwaitUrgent);
    }

    /// <summary>Awaits an urgent frame's answer: behind the reply in flight, and behind the answers awaited already.</summary>
    private void AwaitUrgent(Transaction urgent)
    {
        var now = _time.GetTimestamp();
        var from = Math.Max(Math.Max(now, _current is null ? now : _due), _drain.OwesUntil);
        if (_drain.Owe(urgent, from + urgent.DeadlineTicks))
            _urgentUntil = from + urgent.DeadlineTicks;
    }

    private long Ticks(TimeSpan span) => LineRules.Ticks(span, _time);

    private void Arm(long when)
    {
        if (when >= _armedFor)
            return;
        _armedFor = when;
        var wait = _time.GetElapsedTime(_time.GetTimestamp(), when);
        _timer.Change(wait > TimeSpan.Zero ? wait : TimeSpan.Zero, Timeout.InfiniteTimeSpan);
    }
}
