using System.Runtime.InteropServices;
using Microsoft.Win32.SafeHandles;

namespace LoadTest.Serving;

/// <summary>The instrument's end of a pseudo-terminal, with a link of a chosen name to the other end; Linux only.</summary>
/// <remarks>
/// The other end is kept open here too, so that a program closing it is no hang-up; pulling the plug closes both. A write
/// never waits: what a full terminal does not take is lost, as in a UART nobody reads.
/// </remarks>
internal sealed class PseudoTerminal : IDisposable
{
    private const int Tries = 41;
    private static readonly TimeSpan Pause = TimeSpan.FromMilliseconds(10);
    private static readonly TimeSpan LongestTry = TimeSpan.FromMilliseconds(100);
    private static readonly Lazy<TimeSpan> s_lateness = new(MeasureLateness);

    private readonly string _link;
    private readonly SafeFileHandle _own;
    private readonly SafeFileHandle _other;
    private readonly Thread _reader;
    private readonly Action<byte[]> _received;
    private volatile bool _isClosed;

    /// <summary>Makes one, and its link anew.</summary>
    /// <param name="link">Path of the link.</param>
    /// <param name="received">Told of bytes, on the reader's thread.</param>
    /// <exception cref="IOException">The system gives none.</exception>
    public PseudoTerminal(string link, Action<byte[]> received)
    {
        if (!OperatingSystem.IsLinux())
            throw new IOException(
                $"{link}: serial lines are simulated on pseudo-terminals, which this version makes on Linux only. Serve this bench over TCP."
            );
        (_link, _received) = (link, received);
        var own = NativePty.posix_openpt(NativePty.OpenFlags);
        if (own < 0)
            throw new IOException($"{link}: posix_openpt(3): {Marshal.GetLastPInvokeErrorMessage()}");
        _own = new SafeFileHandle(own, ownsHandle: true);
        if (NativePty.grantpt(own) != 0 || NativePty.unlockpt(own) != 0)
            throw new IOException(
                $"{link}: the pseudo-terminal was not unlocked: {Marshal.GetLastPInvokeErrorMessage()}"
            );
        Terminal = NativePty.NameOf(own);
        _other = File.OpenHandle(Terminal, FileMode.Open, FileAccess.ReadWrite, FileShare.ReadWrite);
        NativePty.MakeRaw(_other);
        File.Delete(link);
        File.CreateSymbolicLink(link, Terminal);
        _reader = new Thread(Read) { IsBackground = true, Name = $"terminal {Path.GetFileName(link)}" };
        _reader.Start();
    }

    /// <summary>How long this machine takes to wake a reader of a terminal: measured once, the median of some tries.</summary>
    /// <remarks>A line at the pace of a baud rate answers so much earlier after it has heard.</remarks>
    public static TimeSpan Lateness => s_lateness.Value;

    /// <summary>Where the other end really is.</summary>
    public string Terminal { get; }

    /// <summary>Whether a program asked to have the other end alone.</summary>
    public bool IsExclusive => NativePty.IsExclusive(_other);

    /// <summary>Hands bytes to whoever has the other end; from any thread.</summary>
    public void Send(ReadOnlySpan<byte> bytes)
    {
        if (_isClosed || bytes.IsEmpty)
            return;
        try
        {
            NativePty.write(_own, ref MemoryMarshal.GetReference(bytes), bytes.Length);
        }
        catch (ObjectDisposedException)
        {
            // Unplugged meanwhile: the bytes go nowhere.
        }
    }

    /// <summary>Pulls the plug: the link goes, whoever has the other end finds it hung up.</summary>
    public void Dispose()
    {
        if (_isClosed)
            return;
        _isClosed = true;
        File.Delete(_link);
        // A byte from the other end wakes the reader, which then sees that it is over.
        NativePty.write(_other, ref MemoryMarshal.GetReference<byte>([0]), 1);
        if (Thread.CurrentThread != _reader)
            _reader.Join();
        _own.Dispose();
        _other.Dispose();
    }

    private static TimeSpan MeasureLateness()
    {
        var link = Path.Combine(Path.GetTempPath(), $"terminal-{Guid.CreateVersion7():N}");
        using var heard = new AutoResetEvent(false);
        var at = 0L;
        using var terminal = new PseudoTerminal(
            link,
            _ =>
            {
                Volatile.Write(ref at, TimeProvider.System.GetTimestamp());
                heard.Set();
            }
        );
        var late = new TimeSpan[Tries];
        for (var k = 0; k < Tries; k++)
        {
            // Asleep, as it is between requests.
            heard.WaitOne(Pause);
            var sent = TimeProvider.System.GetTimestamp();
            NativePty.write(terminal._other, ref MemoryMarshal.GetReference<byte>([0]), 1);
            late[k] = heard.WaitOne(LongestTry)
                ? TimeProvider.System.GetElapsedTime(sent, Volatile.Read(ref at))
                : TimeSpan.Zero;
        }
        Array.Sort(late);
        return late[Tries / 2];
    }

    private void Read()
    {
        var buffer = new byte[1024];
        var watched = new NativePty.Watched { Terminal = (int)_own.DangerousGetHandle(), Events = NativePty.HasInput };
        while (!_isClosed)
        {
            NativePty.poll(ref watched, 1, Timeout.Infinite);
            var count = (int)NativePty.read(_own, buffer, buffer.Length);
            if (count <= 0 || _isClosed)
                continue;
            NativePty.MakeRaw(_other);
            _received(buffer.AsSpan(0, count).ToArray());
        }
    }
}
