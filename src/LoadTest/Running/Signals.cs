using System.Runtime.InteropServices;
using LoadTest.Sequencer.Engine;

namespace LoadTest.Running;

/// <summary>Ctrl-C, an order to end, a closing console, an error nobody caught: load off first, on the thread that brings the news.</summary>
/// <remarks>
/// Made after every other handler of the process, so that it is called before them. It never lets the signal end the process: the
/// run ends, says what became of the load, and ends the process itself. A second signal sends all-off again. On a pump in virtual
/// time no other thread may touch a line; there the signal is left for the pump, which is never more than a moment away.
/// </remarks>
internal sealed class Signals : IDisposable
{
    /// <summary>How long a console that closes waits for the end of the run; the system then ends the process anyhow.</summary>
    private static readonly TimeSpan LongestFarewell = TimeSpan.FromSeconds(4);

    private readonly PosixSignalRegistration[] _registrations;
    private readonly ManualResetEventSlim _over = new();
    private readonly bool _isVirtual;
    private LoadRemoval? _removal;
    private string? _asked;

    /// <summary>Takes the signals of this process.</summary>
    /// <param name="isVirtual">Whether the run is in virtual time.</param>
    public Signals(bool isVirtual)
    {
        _isVirtual = isVirtual;
        AppDomain.CurrentDomain.UnhandledException += OnUnhandled;
        AppDomain.CurrentDomain.ProcessExit += OnExit;
        _registrations =
        [
            PosixSignalRegistration.Create(PosixSignal.SIGQUIT, OnSignal),
            PosixSignalRegistration.Create(PosixSignal.SIGHUP, OnSignal),
            PosixSignalRegistration.Create(PosixSignal.SIGTERM, OnSignal),
            PosixSignalRegistration.Create(PosixSignal.SIGINT, OnSignal),
        ];
    }

    /// <summary>The signal that came; null before the first.</summary>
    public string? Asked => Volatile.Read(ref _asked);

    /// <summary>From now on signals remove this load; one that came before does so at once.</summary>
    public void Guard(LoadRemoval removal)
    {
        Volatile.Write(ref _removal, removal);
        if (Asked is { } signal)
            removal.RemoveLoad(Cause(signal));
    }

    /// <summary>In virtual time, on the pump: does what a signal asked for.</summary>
    public void Look()
    {
        if (Asked is { } signal && _removal is { Latched: null } removal)
            removal.RemoveLoad(Cause(signal));
    }

    /// <summary>Lets a closing console go on, and takes no signals any more.</summary>
    public void Dispose()
    {
        _over.Set();
        AppDomain.CurrentDomain.UnhandledException -= OnUnhandled;
        AppDomain.CurrentDomain.ProcessExit -= OnExit;
        foreach (var registration in _registrations)
            registration.Dispose();
    }

    /// <summary>What a signal does, on its own thread.</summary>
    internal void Take(string signal)
    {
        if (!_isVirtual)
            Volatile.Read(ref _removal)?.RemoveLoad(Cause(signal));
        Interlocked.CompareExchange(ref _asked, signal, null);
    }

    private void OnSignal(PosixSignalContext context)
    {
        Take(context.Signal.ToString());
        context.Cancel = true;
        // There the process ends when the handler returns, cancelled or not.
        if (OperatingSystem.IsWindows() && context.Signal is PosixSignal.SIGHUP or PosixSignal.SIGTERM)
            _over.Wait(LongestFarewell);
    }

    private void OnUnhandled(object sender, UnhandledExceptionEventArgs e) =>
        Remove(new RemovalCause("ERROR", $"An error nobody caught: {(e.ExceptionObject as Exception)?.Message}"));

    private void OnExit(object? sender, EventArgs e) =>
        Remove(new RemovalCause("ERROR", "The process ends in the middle of the run."));

    private void Remove(RemovalCause cause)
    {
        if (!_isVirtual)
            Volatile.Read(ref _removal)?.RemoveLoad(cause);
    }

    private static RemovalCause Cause(string signal) => new("SIGNAL", $"The process was told to end ({signal}).");
}
