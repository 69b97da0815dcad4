using System.Net;
using System.Net.Sockets;
using LoadTest.Sequencer.Text;

namespace LoadTest.Instruments.Line;

/// <summary>A line over TCP: writes are synchronous under a lock, one thread reads blocking and connects again when the connection broke.</summary>
/// <remarks>
/// A connection on which nothing that was sent is acknowledged for <see cref="LongestUnacknowledged"/> counts as broken, where the
/// system can be told so (Linux): a new one gets through as soon as the way is free again, the old one much later.
/// </remarks>
public sealed class TcpLine : ThreadedLine<Socket>
{
    /// <summary>Longest time an attempt to connect again may take.</summary>
    public static readonly TimeSpan LongestConnect = TimeSpan.FromSeconds(1);

    /// <summary>Pause before the first attempt to connect again; each further one is twice as long, up to <see cref="LongestPause"/>.</summary>
    public static readonly TimeSpan FirstPause = TimeSpan.FromMilliseconds(50);

    /// <summary>Longest pause between two attempts.</summary>
    public static readonly TimeSpan LongestPause = TimeSpan.FromMilliseconds(800);

    /// <summary>How long the other side may leave unacknowledged what was sent to it.</summary>
    public static readonly TimeSpan LongestUnacknowledged = TimeSpan.FromSeconds(2);

    private const int LongestWriteMilliseconds = 500;
    private const int MostDoublings = 4;

    /// <summary>Linux: TCP_USER_TIMEOUT of tcp(7), RFC 5482, ms.</summary>
    private const int UserTimeoutOption = 18;

    private static readonly TimeSpan LookEvery = TimeSpan.FromMilliseconds(50);

    private readonly string _host;
    private readonly int _portNumber;

    private TcpLine(
        string name,
        (string Host, int Port) address,
        bool isHalfDuplex,
        TimeProvider time,
        SynchronizationContext pump
    )
        : base(name, isHalfDuplex, time, pump) => (_host, _portNumber) = address;

    /// <summary>Our end of the first connection: what the other side sees as its peer when nothing stands between.</summary>
    public IPEndPoint? LocalEndPoint { get; private set; }

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
        var line = new TcpLine(name, (host, port), isHalfDuplex, time, pump);
        var socket = line.Open(deadline);
        line.LocalEndPoint = socket.LocalEndPoint as IPEndPoint;
        line.Begin(socket);
        return line;
    }

    private protected override string GoneWords => "the connection is gone and was not made again yet";

    private protected override string RefusedWords => "the connection did not take what was sent";

    private protected override TimeSpan LongestFarewell => TimeSpan.FromSeconds(1);

    private protected override Socket Open() => Open(LongestConnect);

    private protected override string Read(Socket port)
    {
        var buffer = new byte[4096];
        while (true)
        {
            int count;
            try
            {
                count = port.Receive(buffer);
            }
            catch (Exception trouble) when (IsTrouble(trouble))
            {
                return $"the connection broke: {SentenceText.Clause(trouble)}";
            }
            if (count == 0)
                return "the other side closed the connection";
            Tell(buffer.AsSpan(0, count));
        }
    }

    private protected override void Write(Socket port, ReadOnlySpan<byte> bytes)
    {
        while (!bytes.IsEmpty)
            bytes = bytes[port.Send(bytes, SocketFlags.None)..];
    }

    private protected override void Wake(Socket port)
    {
        try
        {
            // Ends the reader and lets what was written still arrive: closing under a blocked read would reset the connection.
            port.Shutdown(SocketShutdown.Both);
        }
        catch (Exception gone) when (IsTrouble(gone))
        {
            // Already gone, which is what was wanted.
        }
    }

    private protected override void Close(Socket port)
    {
        Wake(port);
        port.Dispose();
    }

    private protected override TimeSpan PauseBefore(int tries) =>
        tries >= MostDoublings ? LongestPause : FirstPause * (1 << tries);

    private protected override bool IsTrouble(Exception trouble) =>
        trouble is SocketException or ObjectDisposedException or IOException;

    private Socket Open(TimeSpan deadline)
    {
        var start = Time.GetTimestamp();
        var trouble = "the name has no address";
        foreach (var address in Addresses())
        {
            var left = deadline - Time.GetElapsedTime(start);
            if (left <= TimeSpan.Zero)
                break;
            var socket = new Socket(address.AddressFamily, SocketType.Stream, ProtocolType.Tcp) { NoDelay = true };
            if (TryConnect(socket, new IPEndPoint(address, _portNumber), left, out trouble))
            {
                socket.SendTimeout = LongestWriteMilliseconds;
                return socket;
            }
            socket.Dispose();
        }
        throw new IOException(
            $"{Name}: {_host}:{_portNumber} did not take a connection within {deadline.TotalMilliseconds:0} ms: {trouble}. "
                + "Check that the instrument is on, its address, and that nobody else holds its connection."
        );
    }

    private IPAddress[] Addresses()
    {
        if (IPAddress.TryParse(_host, out var address))
            return [address];
        try
        {
            return Dns.GetHostAddresses(_host);
        }
        catch (SocketException trouble)
        {
            throw new IOException(
                $"{Name}: the host name {_host} was not found: {SentenceText.Clause(trouble)}.",
                trouble
            );
        }
    }

    /// <summary>A connect with a deadline of its own, without a task: started without blocking, then waited for.</summary>
    private bool TryConnect(Socket socket, IPEndPoint address, TimeSpan deadline, out string trouble)
    {
        trouble = $"no answer from {address}";
        try
        {
            if (OperatingSystem.IsLinux())
                socket.SetRawSocketOption(
                    (int)SocketOptionLevel.Tcp,
                    UserTimeoutOption,
                    BitConverter.GetBytes((int)LongestUnacknowledged.TotalMilliseconds)
                );
            socket.Blocking = false;
            try
            {
                socket.Connect(address);
            }
            catch (SocketException pending)
                when (pending.SocketErrorCode is SocketError.WouldBlock or SocketError.InProgress)
            {
                if (!WaitUntilWritable(socket, deadline))
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

    /// <summary>Waits in short looks, so that a line that is closed meanwhile ends soon.</summary>
    private bool WaitUntilWritable(Socket socket, TimeSpan deadline)
    {
        var start = Time.GetTimestamp();
        while (!IsClosing)
        {
            var left = deadline - Time.GetElapsedTime(start);
            if (left <= TimeSpan.Zero)
                return false;
            if (socket.Poll(left < LookEvery ? left : LookEvery, SelectMode.SelectWrite))
                return true;
        }
        return false;
    }
}
