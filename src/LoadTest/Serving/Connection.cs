using System.Net;
using System.Net.Sockets;

namespace LoadTest.Serving;

/// <summary>One client of a served device: a reader thread in, blocking writes with a limit out.</summary>
internal sealed class Connection : IDisposable
{
    private const int LongestWriteMilliseconds = 500;

    private readonly Socket _socket;
    private readonly Action<Connection, byte[]> _received;
    private readonly Action<Connection> _gone;
    private readonly SemaphoreSlim _taken = new(0);

    /// <summary>Takes a socket over.</summary>
    /// <param name="socket">The socket, connected.</param>
    /// <param name="received">Told of bytes, on the reader's thread.</param>
    /// <param name="gone">Told once when the client is gone, on the reader's thread.</param>
    public Connection(Socket socket, Action<Connection, byte[]> received, Action<Connection> gone)
    {
        _socket = socket;
        _socket.NoDelay = true;
        _socket.SendTimeout = LongestWriteMilliseconds;
        _received = received;
        _gone = gone;
        End = ((IPEndPoint)socket.RemoteEndPoint!).ToString();
    }

    /// <summary>The client's end.</summary>
    public string End { get; }

    /// <summary>Whether the client has closed, though its reader may not have noticed yet.</summary>
    public bool IsGone
    {
        get
        {
            try
            {
                return _socket.Poll(0, SelectMode.SelectRead) && _socket.Available == 0;
            }
            catch (Exception gone) when (gone is SocketException or ObjectDisposedException)
            {
                return true;
            }
        }
    }

    /// <summary>What was received last has been taken: the next may be read. Until then the client waits, not our memory.</summary>
    public void Taken() => _taken.Release();

    /// <summary>Begins to read.</summary>
    public void Start() => new Thread(Read) { IsBackground = true, Name = $"client {End}" }.Start();

    /// <summary>Writes; a client that does not read is dropped.</summary>
    public void Send(ReadOnlySpan<byte> bytes)
    {
        try
        {
            while (!bytes.IsEmpty)
                bytes = bytes[_socket.Send(bytes, SocketFlags.None)..];
        }
        catch (Exception gone) when (gone is SocketException or ObjectDisposedException)
        {
            Dispose();
        }
    }

    /// <summary>Ends the connection; the reader notices.</summary>
    public void Dispose()
    {
        try
        {
            _socket.Shutdown(SocketShutdown.Both);
        }
        catch (Exception gone) when (gone is SocketException or ObjectDisposedException)
        {
            // Already gone, which is what was wanted.
        }
        // Its reader may be waiting for its turn.
        _taken.Release();
    }

    /// <summary>Breaks the connection, as a wire or a gateway that fails does: the client is told nothing but a reset.</summary>
    public void Break()
    {
        try
        {
            _socket.LingerState = new LingerOption(enable: true, seconds: 0);
            _socket.Close();
        }
        catch (Exception gone) when (gone is SocketException or ObjectDisposedException)
        {
            // Already gone, which is what was wanted.
        }
    }

    private void Read()
    {
        using var socket = _socket;
        var buffer = new byte[4096];
        try
        {
            for (var count = socket.Receive(buffer); count > 0; count = socket.Receive(buffer))
            {
                _received(this, buffer.AsSpan(0, count).ToArray());
                _taken.Wait();
            }
        }
        catch (Exception gone) when (gone is SocketException or ObjectDisposedException)
        {
            // The other side is gone: said below, as for an orderly end.
        }
        _gone(this);
    }
}
