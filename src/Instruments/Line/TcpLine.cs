using System.Net;
using System.Net.Sockets;

namespace LoadTest.Instruments.Line;

/// <summary>A line over TCP: writes are synchronous under a lock, one thread reads blocking and posts stamped bytes.</summary>
/// <remarks>
/// The reader is a thread of its own, because a starved thread pool would hold an asynchronous read back for seconds. Only
/// <see cref="Received"/> and <see cref="Lost"/> touch the pump, and they are posted.
/// </remarks>
public sealed class TcpLine : ILine, IDisposable
{
    private static readonly TimeSpan LongestWrite = TimeSpan.FromMilliseconds(500);
    private static readonly TimeSpan LongestFarewell = TimeSpan.FromSeconds(1);

    private readonly Lock _writing = new();
    private readonly Socket _socket;
    private readonly TimeProvider _time;
    private readonly SynchronizationContext _pump;
    private readonly Thread _reader;
    private int _isClosed;

    private TcpLine(string name, bool isHalfDuplex, Socket socket, TimeProvider time, SynchronizationContext pump)
    {
        Name = name;
        IsHalfDuplex = isHalfDuplex;
        _socket = socket;
        _time = time;
        _pump = pump;
        LocalEndPoint = socket.LocalEndPoint as IPEndPoint;
        _reader = new Thread(Read) { IsBackground = true, Name = $"line {name}" };
    }

    /// <inheritdoc/>
    public string Name { get; }

    /// <inheritdoc/>
    public bool IsHalfDuplex { get; }

    /// <summary>Our end of the connection: what the other side sees as its peer when nothing stands between.</summary>
    public IPEndPoint? LocalEndPoint { get; }

    /// <inheritdoc/>
    public Action<ReadOnlyMemory<byte>, long>? Received { get; set; }

    /// <inheritdoc/>
    public Action<string>? Lost { get; set; }

    /// <inheritdoc/>
    /// <remarks>Never: a connection that broke is made again by whoever made it.</remarks>
    public Action? Returned { get; set; }

    /// <summary>Connects within a deadline, blocking the caller, and starts reading.</summary>
    /// <param name="name">What messages call the line.</param>
    /// <param name="host">Host name or address; each of its addresses is tried in turn.</param>
    /// <param name="port">Port, 1 to 65535.</param>
    /// <param name="isHalfDuplex">True behind a gateway to a two-wire bus, where only one side may talk at a time.</param>
    /// <param name="deadline">Longest time for all attempts together.</param>
    /// <param name="time">The pump's clock, which other threads may read in real time.</param>
    /// <param name="pump">Where received bytes are posted.</param>
    /// <exception cref="IOException">Nobody answered at that address in time.</exception>
    public static TcpLine Connect(
        string name,
        string host,
        int port,
        bool isHalfDuplex,
        TimeSpan deadline,
        TimeProvider time,
        SynchronizationContext pump
    )
    {
        ArgumentNullException.ThrowIfNull(time);
        ArgumentNullException.ThrowIfNull(pump);
        ArgumentOutOfRangeException.ThrowIfLessThan(port, 1);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(port, IPEndPoint.MaxPort);
        var start = time.GetTimestamp();
        var trouble = "the name has no address";
        foreach (var address in Addresses(name, host))
        {
            var left = deadline - time.GetElapsedTime(start);
            if (left <= TimeSpan.Zero)
                break;
            var socket = new Socket(address.AddressFamily, SocketType.Stream, ProtocolType.Tcp) { NoDelay = true };
            if (TryConnect(socket, new IPEndPoint(address, port), left, out trouble))
            {
                socket.SendTimeout = (int)LongestWrite.TotalMilliseconds;
                var line = new TcpLine(name, isHalfDuplex, socket, time, pump);
                line._reader.Start();
                return line;
            }
            socket.Dispose();
        }
        throw new IOException(
            $"{name}: {host}:{port} did not take a connection within {deadline.TotalMilliseconds:0} ms: {trouble}. "
                + "Check that the instrument is on, its address, and that nobody else holds its connection."
        );
    }

    /// <inheritdoc/>
    public void Send(ReadOnlySpan<byte> bytes)
    {
        try
        {
            lock (_writing)
            {
                while (!bytes.IsEmpty)
                    bytes = bytes[_socket.Send(bytes, SocketFlags.None)..];
            }
        }
        catch (Exception trouble) when (trouble is SocketException or ObjectDisposedException)
        {
            Close($"the connection did not take what was sent: {trouble.Message}");
            throw new IOException($"{Name}: the connection did not take what was sent: {trouble.Message}", trouble);
        }
    }

    /// <summary>Closes the connection and waits shortly for the reader; nothing is delivered as lost.</summary>
    public void Dispose()
    {
        Lost = null;
        Received = null;
        Close("closed here");
        if (Thread.CurrentThread != _reader)
            _reader.Join(LongestFarewell);
        _socket.Dispose();
    }

    private static IPAddress[] Addresses(string name, string host)
    {
        if (IPAddress.TryParse(host, out var address))
            return [address];
        try
        {
            return Dns.GetHostAddresses(host);
        }
        catch (SocketException trouble)
        {
            throw new IOException($"{name}: the host name {host} was not found: {trouble.Message}", trouble);
        }
    }

    /// <summary>A connect with a deadline of its own, without a task: started without blocking, then waited for.</summary>
    private static bool TryConnect(Socket socket, IPEndPoint address, TimeSpan deadline, out string trouble)
    {
        trouble = $"no answer from {address}";
        try
        {
            socket.Blocking = false;
            try
            {
                socket.Connect(address);
            }
            catch (SocketException pending)
                when (pending.SocketErrorCode is SocketError.WouldBlock or SocketError.InProgress)
            {
                var microseconds = (int)Math.Min(int.MaxValue, deadline.TotalMicroseconds);
                if (!socket.Poll(microseconds, SelectMode.SelectWrite))
                    return false;
            }
            var error = (int)socket.GetSocketOption(SocketOptionLevel.Socket, SocketOptionName.Error)!;
            if (error != 0)
            {
                trouble = new SocketException(error).Message;
                return false;
            }
            socket.Blocking = true;
            return socket.Connected || socket.Poll(0, SelectMode.SelectWrite);
        }
        catch (SocketException refused)
        {
            trouble = refused.Message;
            return false;
        }
    }

    private void Read()
    {
        using var socket = _socket;
        var buffer = new byte[4096];
        while (true)
        {
            int count;
            try
            {
                count = _socket.Receive(buffer);
            }
            catch (Exception trouble) when (trouble is SocketException or ObjectDisposedException)
            {
                Close($"the connection broke: {trouble.Message}");
                return;
            }
            if (count == 0)
            {
                Close("the other side closed the connection");
                return;
            }
            var stamp = _time.GetTimestamp();
            var bytes = buffer.AsSpan(0, count).ToArray();
            _pump.Post(_ => Received?.Invoke(bytes, stamp), null);
        }
    }

    private void Close(string reason)
    {
        if (Interlocked.Exchange(ref _isClosed, 1) != 0)
            return;
        try
        {
            // Ends the reader and lets what was written still arrive: closing under a blocked read would reset the connection.
            _socket.Shutdown(SocketShutdown.Both);
        }
        catch (Exception gone) when (gone is SocketException or ObjectDisposedException)
        {
            // Already gone, which is what was wanted.
        }
        _pump.Post(_ => Lost?.Invoke(reason), null);
    }
}
