using System.Net;
using System.Net.Sockets;
using System.Text;
using LoadTest.Serving;

namespace LoadTest.SystemTests.Serving;

/// <summary>Clients that send half, too much or are too many take nothing from the others.</summary>
public sealed class CrowdedPortTests
{
    private static readonly TimeSpan s_patience = TimeSpan.FromSeconds(20);

    // Fifteen halves cost a tenth of a second each; at the two seconds of a whole request they were half a minute.
    [Fact]
    public async Task Half_headers_of_many_clients_do_not_make_the_bank_deaf()
    {
        using var bench = new ServedBench();
        var halves = Enumerable.Range(0, DevicePort.MostClients - 1).Select(_ => Connect(bench, "bank-1")).ToArray();
        try
        {
            foreach (var half in halves)
                half.Client.Send([0, 1, 0]);
            using var client = Connect(bench, "bank-1");
            client.Client.Send([0x12, 0x34, 0, 0, 0, 6, 1, 0x04, 0, 0, 0, 1]);
            var reply = new byte[11];
            using var limit = new CancellationTokenSource(s_patience);
            await client.GetStream().ReadExactlyAsync(reply, limit.Token);
            Assert.Equal([0x12, 0x34, 0, 0, 0, 5, 1, 0x04, 2, 0x4C, 0x54], reply);
        }
        finally
        {
            Array.ForEach(halves, h => h.Dispose());
        }
    }

    [Fact]
    public async Task One_client_more_than_a_port_takes_is_turned_away_and_the_place_of_one_that_left_is_free()
    {
        using var bench = new ServedBench();
        var clients = new List<TcpClient>();
        try
        {
            for (var k = 0; k < DevicePort.MostClients; k++)
            {
                clients.Add(Connect(bench, "dmm-1"));
                Assert.Equal("1999.0", await Ask(clients[^1]));
            }
            using (var surplus = Connect(bench, "dmm-1"))
                Assert.Null(await Ask(surplus));

            clients[0].Dispose();
            Assert.True(SpinWait.SpinUntil(() => bench.Server.Clients < DevicePort.MostClients, s_patience));
            using var next = Connect(bench, "dmm-1");
            Assert.Equal("1999.0", await Ask(next));
        }
        finally
        {
            clients.ForEach(c => c.Dispose());
        }
    }

    [Fact]
    public async Task Megabyte_without_a_line_end_is_no_line_and_the_next_client_is_answered()
    {
        using var bench = new ServedBench();
        using var flood = Connect(bench, "dmm-1");
        await flood.GetStream().WriteAsync(new byte[1 << 20], TestContext.Current.CancellationToken);
        using var next = Connect(bench, "dmm-1");
        Assert.Equal("1999.0", await Ask(next));
    }

    [Fact]
    public void What_a_client_sends_waits_at_the_client_until_what_it_sent_before_was_taken()
    {
        using var listener = new TcpListener(IPAddress.Loopback, 0);
        listener.Start();
        using var client = new TcpClient();
        client.Connect((IPEndPoint)listener.LocalEndpoint);
        var received = 0L;
        using var served = new Connection(
            listener.AcceptSocket(),
            (_, bytes) => Interlocked.Add(ref received, bytes.Length),
            _ => { }
        );
        served.Start();
        client.SendTimeout = 500;
        var block = new byte[1 << 20];

        // The system's own buffers fill, then the client has to wait.
        Assert.Throws<SocketException>(() =>
        {
            for (var sent = 0; sent < 512; sent++)
                client.Client.Send(block);
        });
        Assert.InRange(Interlocked.Read(ref received), 1, 4096);
    }

    private static TcpClient Connect(ServedBench bench, string device)
    {
        var client = new TcpClient();
        client.Connect(IPAddress.Loopback, bench.Port(device));
        return client;
    }

    // Null where the connection ends without an answer.
    private static async Task<string?> Ask(TcpClient client)
    {
        using var limit = new CancellationTokenSource(s_patience);
        try
        {
            await client.GetStream().WriteAsync("SYST:VERS?\n"u8.ToArray(), limit.Token);
            var line = new StringBuilder();
            var one = new byte[1];
            while (await client.GetStream().ReadAsync(one, limit.Token) == 1)
            {
                if (one[0] == '\n')
                    return line.ToString();
                line.Append((char)one[0]);
            }
        }
        catch (IOException)
        {
            // Reset instead of an orderly end: turned away all the same.
        }
        return null;
    }
}
