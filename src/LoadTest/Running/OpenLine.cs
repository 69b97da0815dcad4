using System.Net;
using LoadTest.Instruments.Line;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Serving;

namespace LoadTest.Running;

/// <summary>A real line of a bench, open.</summary>
/// <param name="Line">The line.</param>
/// <param name="Text">Where it is.</param>
/// <param name="End">Our end of it, as a simulator at the other end sees it; null when that cannot be told.</param>
internal sealed record OpenLine(ILine Line, LineText Text, string? End) : IDisposable
{
    private static readonly TimeSpan ConnectWithin = TimeSpan.FromSeconds(2);

    /// <summary>Opens it, blocking the caller for two seconds at most.</summary>
    /// <param name="name">What messages call it.</param>
    /// <param name="text">Where it is.</param>
    /// <param name="isHalfDuplex">For TCP: whether a gateway to a two-wire bus is at its end.</param>
    /// <param name="pump">A pump in real time.</param>
    /// <exception cref="IOException">Nobody is there, or somebody else has it.</exception>
    public static OpenLine Open(string name, LineText text, bool isHalfDuplex, Pump pump)
    {
        switch (text)
        {
            case LineText.Tcp tcp:
                var connection = TcpLine.Connect(
                    name,
                    tcp.Host,
                    tcp.Port,
                    isHalfDuplex,
                    ConnectWithin,
                    pump,
                    pump.Context
                );
                return new OpenLine(connection, tcp, connection.LocalEndPoint?.ToString());
            case LineText.Serial serial:
                return new OpenLine(
                    SerialLine.Open(name, serial, pump, pump.Context),
                    serial,
                    TerminalIdentity.Of(serial.Port)
                );
            default:
                throw new IOException($"{name}: a simulated device has no line of its own.");
        }
    }

    /// <summary>The process of this machine that has the other end; null when the system does not say.</summary>
    public int? FarProcess =>
        !OperatingSystem.IsLinux() || End is null ? null
        : Text is LineText.Tcp tcp ? FarEnd.OfConnection(IPEndPoint.Parse(End), tcp.Port)
        : Text is LineText.Serial serial ? FarEnd.OfTerminal(serial.Port)
        : null;

    /// <summary>Closes it.</summary>
    public void Dispose() => (Line as IDisposable)?.Dispose();
}
