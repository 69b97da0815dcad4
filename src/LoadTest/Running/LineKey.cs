using System.Net;
using System.Net.NetworkInformation;
using System.Net.Sockets;
using LoadTest.Records.Journaling;
using LoadTest.Sequencer.Benches;

namespace LoadTest.Running;

/// <summary>What one process at a time may own, however it is spelled.</summary>
/// <param name="Name">The same for every spelling of one line: letters, digits, dots and hyphens.</param>
/// <param name="Words">As the bench file spells it.</param>
internal sealed record LineKey(string Name, string Words)
{
    /// <summary>The keys of a line: of a host name one for each of its addresses; of a serial port that of the device it leads to now.</summary>
    /// <remarks>Every address of this machine is one: a server here answers on loopback of both families and on its network.</remarks>
    public static IEnumerable<LineKey> Of(LineText line) =>
        line switch
        {
            LineText.Tcp tcp => Addresses(tcp.Host)
                .Select(a => new LineKey(Plain($"tcp-{a}-{tcp.Port}"), WireText.Words(tcp))),
            LineText.Serial serial => [new LineKey(Plain($"serial-{Device(serial.Port)}"), serial.Port)],
            _ => [],
        };

    private static IEnumerable<string> Addresses(string host)
    {
        try
        {
            var own = NetworkInterface
                .GetAllNetworkInterfaces()
                .SelectMany(i => i.GetIPProperties().UnicastAddresses)
                .Select(a => a.Address)
                .ToHashSet();
            return Dns.GetHostAddresses(host)
                .Select(a => a.IsIPv4MappedToIPv6 ? a.MapToIPv4() : a)
                .Select(a => IPAddress.IsLoopback(a) || own.Contains(a) ? "this-machine" : a.ToString())
                .Distinct(StringComparer.Ordinal);
        }
        catch (Exception trouble) when (trouble is SocketException or NetworkInformationException or ArgumentException)
        {
            // Nobody can be connected to at a name without an address; the name itself keeps its place until that is said.
            return [host.ToLowerInvariant()];
        }
    }

    // By number where the system has one: /dev/serial/by-id/usb-… and /dev/ttyUSB0 are one device.
    private static string Device(string port) =>
        FileStatus.Of(port) is { Special: var (major, minor) and not (0, 0) }
            ? $"{major}-{minor}"
            : port.ToUpperInvariant();

    private static string Plain(string text) =>
        new([.. text.Select(c => char.IsAsciiLetterOrDigit(c) || c is '.' or '-' ? c : '_')]);
}
