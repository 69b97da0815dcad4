using System.Runtime.InteropServices;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Text;

namespace LoadTest.Running;

/// <summary>Ctrl-C, an order to end, a closing console, an error nobody caught: load off first, on the thread that brings the news.</summary>
/// <remarks>
/// What each signal means stands in <see cref="SignalTable"/>. None of those that remove the load ends or stops the process: the run
/// ends, says what became of the load, and ends the process itself. A second signal sends all-off again. On a pump in virtual
/// time no other thread may touch a line; there the signal is left for the pump, which is never more than a moment away.
/// </remarks>
internal sealed class Signals : IDisposable
{
    /// <summary>How long a console that closes waits for the end of the run; the system then ends the process anyhow.</summary>
    private static readonly TimeSpan LongestFarewell = TimeSpan.FromSeconds(4);

    // Elsewhere numbers are others, and these are those the runtime knows by name.
    private static readonly PosixSignal[] s_everywhere =
    [
        PosixSignal.SIGQUIT,
        PosixSignal.SIGHUP,
        PosixSignal.SIGTERM,
        PosixSignal.SIGINT,
    ];

    private readonly List<PosixSignalRegistration> _registrations = [];
    private readonly ManualResetEventSlim _over = new();
    private readonly bool _isVirtual;
    private int[] _ignoredBefore = [];
    private LoadRemoval? _removal;
    private RemovalCause? _asked;

    /// <summary>Takes the signals of this process; on the thread of the pump, right before the gate.</summary>
    /// <param name="isVirtual">Whether the run is in virtual time.</param>
    /// <exception cref="IOException">One of them was inherited as ignored or blocked, and could not be set right.</exception>
    public Signals(bool isVirtual)
    {
        _isVirtual = isVirtual;
        AppDomain.CurrentDomain.UnhandledException += OnUnhandled;
        AppDomain.CurrentDomain.ProcessExit += OnExit;
        try
        {
            if (OperatingSystem.IsLinux() && !isVirtual)
                TakeAll();
            else
                _registrations.AddRange(s_everywhere.Select(s => PosixSignalRegistration.Create(s, OnSignal)));
        }
        catch (IOException)
        {
            Dispose();
            throw;
        }
    }

    /// <summary>What the first signal that came means; null before.</summary>
    public RemovalCause? Asked => Volatile.Read(ref _asked);

    /// <summary>From now on signals remove this load; one that came before does so at once.</summary>
    public void Guard(LoadRemoval removal)
    {
        Volatile.Write(ref _removal, removal);
        if (Asked is { } cause)
            removal.RemoveLoad(cause);
    }

    /// <summary>In virtual time, on the pump: does what a signal asked for.</summary>
    public void Look()
    {
        if (Asked is { } cause && _removal is { Latched: null } removal)
            removal.RemoveLoad(cause);
    }

    /// <summary>Lets a closing console go on, and takes no signals any more.</summary>
    public void Dispose()
    {
        _over.Set();
        AppDomain.CurrentDomain.UnhandledException -= OnUnhandled;
        AppDomain.CurrentDomain.ProcessExit -= OnExit;
        SignalThread.Remove(OnNumber);
        foreach (var registration in _registrations)
            registration.Dispose();
        foreach (var signal in _ignoredBefore)
            SignalSetting.Ignore(signal);
    }

    /// <summary>What a signal does, on its own thread.</summary>
    /// <param name="name">Name of the signal.</param>
    internal void Take(string name)
    {
        var row = SignalTable.Rows.FirstOrDefault(r => r.Name == name);
        var cause = new RemovalCause(
            // The write that reached the limit fails by itself too; whichever is heard of first, it is the same trouble.
            name == "SIGXFSZ"
                ? "DISK"
                : "SIGNAL",
            $"{row?.Words ?? "The process was told to end"} ({name})."
        );
        if (!_isVirtual)
            Volatile.Read(ref _removal)?.RemoveLoad(cause);
        Interlocked.CompareExchange(ref _asked, cause, null);
    }

    /// <summary>Every signal of the table that removes the load, also where it was inherited as ignored or blocked.</summary>
    private void TakeAll()
    {
        int[] own = [.. SignalTable.RemovingLoad.Select(r => r.Number)];
        SignalSetting.Unblock(own);
        var before = SignalSetting.Look();
        SignalThread.Add(OnNumber);
        _registrations.AddRange(own.Select(n => PosixSignalRegistration.Create((PosixSignal)n, OnSignal)));
        // The runtime leaves ignored what it found ignored: a command that a script starts in the background is deaf to Ctrl-C.
        _ignoredBefore = [.. own.Where(before.Ignores)];
        if (own.Except(_ignoredBefore).ToArray() is [var heard, ..])
        {
            foreach (var signal in _ignoredBefore)
                SignalSetting.GiveHandler(of: heard, to: signal);
        }
        var now = SignalSetting.Look();
        if (own.Where(n => !now.Reaches(n)).ToArray() is { Length: > 0 } deaf)
            throw new IOException(
                $"This process was started deaf to {string.Join(", ", deaf.Select(n => SignalTable.Find(n)!.Name))}, which remove the load, and that could not be set right. Start it at a terminal, without nohup and not from a script's background."
            );
    }

    private void OnNumber(int number)
    {
        if (SignalTable.Find(number) is not { Meaning: SignalMeaning.RemovesLoad } row)
            return;
        if (row.Repeats)
        {
            SignalSetting.Ignore(number);
            if (Asked is not null)
                return;
        }
        Take(row.Name);
    }

    private void OnSignal(PosixSignalContext context)
    {
        context.Cancel = true;
        if (!_isVirtual && SignalThread.IsLed && OperatingSystem.IsLinux())
            return;
        if ((int)context.Signal > 0)
            OnNumber((int)context.Signal);
        else
            Take(context.Signal.ToString());
        // There the process ends when the handler returns, cancelled or not.
        if (OperatingSystem.IsWindows() && context.Signal is PosixSignal.SIGHUP or PosixSignal.SIGTERM)
            _over.Wait(LongestFarewell);
    }

    private void OnUnhandled(object sender, UnhandledExceptionEventArgs e) =>
        Remove(
            new RemovalCause(
                "ERROR",
                $"An error nobody caught: {(e.ExceptionObject is Exception trouble ? SentenceText.Clause(trouble) : "not told")}."
            )
        );

    private void OnExit(object? sender, EventArgs e) =>
        Remove(new RemovalCause("ERROR", "The process ends in the middle of the run."));

    private void Remove(RemovalCause cause)
    {
        if (!_isVirtual)
            Volatile.Read(ref _removal)?.RemoveLoad(cause);
    }
}
