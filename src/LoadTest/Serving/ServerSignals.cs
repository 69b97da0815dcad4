using System.Runtime.InteropServices;

namespace LoadTest.Serving;

/// <summary>Ends a server in order when the process is told to end.</summary>
internal sealed class ServerSignals : IDisposable
{
    private readonly PosixSignalRegistration[] _registrations;

    /// <summary>Takes the signals of this process.</summary>
    /// <param name="end">Ends the server; from any thread, more than once.</param>
    public ServerSignals(Action end) =>
        _registrations = [
            .. new[] { PosixSignal.SIGINT, PosixSignal.SIGTERM, PosixSignal.SIGHUP }.Select(signal =>
                PosixSignalRegistration.Create(
                    signal,
                    context =>
                    {
                        context.Cancel = true;
                        end();
                    }
                )
            ),
        ];

    /// <inheritdoc/>
    public void Dispose()
    {
        foreach (var registration in _registrations)
            registration.Dispose();
    }
}
