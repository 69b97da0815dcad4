using System.Net;
using System.Net.Sockets;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Simulator;

namespace LoadTest.Serving;

/// <summary>One simulated device on a loopback port, for any number of clients: one request at a time, as behind a gateway.</summary>
/// <remarks>
/// Answers go to whoever asked last. A client that speaks while another's answer is outstanding waits for it, at most
/// <see cref="LongestTurn"/>, and behind half a request a tenth of a second; what the one before left half sent is then forgotten. No client
/// is read further before what it sent was taken, so that a flood waits at its sender. Everything but reading and accepting happens on the
/// pump.
/// </remarks>
internal sealed class DevicePort : IServedPort
{
    /// <summary>Longest time one client's unanswered request holds the others.</summary>
    public static readonly TimeSpan LongestTurn = TimeSpan.FromSeconds(2);

    /// <summary>Most clients at a time; one more is turned away at once.</summary>
    public const int MostClients = 16;

    // Half a request holds the others no longer than this: whoever means it sends the rest at once.
    private static readonly TimeSpan s_longestHalf = TimeSpan.FromMilliseconds(100);

    private readonly SimulatedDevice _device;
    private readonly Action<ReadOnlyMemory<byte>> _receive;
    private readonly Pump _pump;
    private readonly TcpListener _listener;
    private readonly Action<string, bool, ReadOnlyMemory<byte>>? _trace;
    private readonly bool _isForOne;
    private readonly List<Connection> _connections = [];
    private readonly Queue<(Connection From, byte[] Bytes)> _waiting = new();
    private readonly ITimer _turn;
    private Connection? _current;
    private bool _isOutstanding;
    private bool _isHalf;
    private bool _isPulled;

    /// <summary>Listens at once.</summary>
    /// <param name="device">The device.</param>
    /// <param name="pump">The pump it lives on.</param>
    /// <param name="port">Port wanted; 0 for any free one. One that is taken is replaced by a free one.</param>
    /// <param name="setting">What else there is to say about it.</param>
    public DevicePort(SimulatedDevice device, Pump pump, int port, PortSetting setting)
    {
        _device = device;
        _pump = pump;
        _trace = setting.Trace;
        _isForOne = setting.IsForOne;
        _receive = setting.Receive ?? (bytes => device.Receive(bytes.Span));
        _turn = pump.CreateTimer(_ => EndTurn(), null, Timeout.InfiniteTimeSpan, Timeout.InfiniteTimeSpan);
        device.Answer = Answer;
        device.Plugged = Plug;
        _listener = Listen(port);
        new Thread(Accept) { IsBackground = true, Name = $"port of {device.Name}" }.Start();
    }

    /// <inheritdoc/>
    public LineText Line
    {
        get
        {
            var address = (IPEndPoint)_listener.LocalEndpoint;
            return new LineText.Tcp(address.Address.ToString(), address.Port);
        }
    }

    /// <summary>How many clients there are now; one that is gone counts until everything it said was heard.</summary>
    public int Clients
    {
        get
        {
            lock (_connections)
                return _connections.Count;
        }
    }

    /// <summary>Far ends of the connections there are now.</summary>
    public string Ends
    {
        get
        {
            lock (_connections)
                return string.Join(',', _connections.Select(c => c.End));
        }
    }

    /// <summary>Answers the client whose turn it is; on the pump.</summary>
    public void Answer(ReadOnlyMemory<byte> bytes)
    {
        _trace?.Invoke(_device.Name, false, bytes);
        _current?.Send(bytes.Span);
        EndTurn();
    }

    /// <summary>Closes the port and every connection.</summary>
    public void Dispose()
    {
        _listener.Dispose();
        _turn.Dispose();
        lock (_connections)
        {
            foreach (var connection in _connections)
                connection.Dispose();
        }
    }

    /// <summary>Pulled, every connection is reset and a new one ends at once; the address stays, as that of a gateway does.</summary>
    private void Plug(bool isIn)
    {
        lock (_connections)
        {
            _isPulled = !isIn;
            if (isIn)
                return;
            foreach (var connection in _connections)
                connection.Break();
        }
    }

    private static TcpListener Listen(int port)
    {
        var listener = new TcpListener(IPAddress.Loopback, port);
        try
        {
            listener.Start();
            return listener;
        }
        catch (SocketException taken)
            when (port != 0 && taken.SocketErrorCode is SocketError.AddressAlreadyInUse or SocketError.AccessDenied)
        {
            listener.Dispose();
            return Listen(0);
        }
    }

    private void Accept()
    {
        try
        {
            while (true)
                Welcome(_listener.AcceptSocket());
        }
        catch (Exception closed)
            when (closed is SocketException or ObjectDisposedException or InvalidOperationException)
        {
            // The port was closed.
        }
    }

    private void Welcome(Socket socket)
    {
        var connection = new Connection(
            socket,
            (from, bytes) => _pump.Post(() => Received(from, bytes)),
            from => _pump.Post(() => Gone(from))
        );
        lock (_connections)
        {
            if (_isPulled)
            {
                socket.Dispose();
                return;
            }
            if (_isForOne && _connections.Any(c => !c.IsGone))
            {
                connection.Send("no: another connection has the hands; close it first.\n"u8);
                socket.Dispose();
                return;
            }
            if (_connections.Count >= MostClients)
            {
                socket.Dispose();
                return;
            }
            _connections.Add(connection);
        }
        connection.Start();
    }

    private void Received(Connection from, byte[] bytes)
    {
        if (from != _current && (_isOutstanding || _waiting.Count > 0))
            _waiting.Enqueue((from, bytes));
        else
            Feed(from, bytes);
    }

    private void Feed(Connection from, byte[] bytes)
    {
        if (from != _current)
        {
            _device.Connected();
            _current = from;
        }
        _trace?.Invoke(_device.Name, true, bytes);
        var begins = !_isOutstanding;
        if (begins)
        {
            (_isOutstanding, _isHalf) = (true, false);
            _turn.Change(LongestTurn, Timeout.InfiniteTimeSpan);
        }
        _receive(bytes);
        from.Taken();
        if (!_isOutstanding || from != _current)
            return;
        // Sending bit by bit makes a turn no longer; the end of what was sent in halves makes it a whole one, once.
        if (begins && _device.IsMidRequest)
        {
            _isHalf = true;
            _turn.Change(s_longestHalf, Timeout.InfiniteTimeSpan);
        }
        else if (_isHalf && !_device.IsMidRequest)
        {
            _isHalf = false;
            _turn.Change(LongestTurn, Timeout.InfiniteTimeSpan);
        }
    }

    private void EndTurn()
    {
        _isOutstanding = false;
        if (_waiting.TryDequeue(out var next))
            Feed(next.From, next.Bytes);
    }

    private void Gone(Connection connection)
    {
        lock (_connections)
            _connections.Remove(connection);
        if (_current != connection)
            return;
        _current = null;
        EndTurn();
    }
}
