using System.Text;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Instruments.Modbus;

/// <summary>What a Modbus device says it is: text objects, read in as many transactions as it takes.</summary>
/// <remarks>
/// MODBUS Application Protocol V1.1b3, 6.21, function 43 kind 14. Object 0 names the vendor, 1 the product code, 2 the revision;
/// regular identification adds 3 the address on the web, 4 the product, 5 the model and 6 the application.
/// </remarks>
internal static class DeviceIdentification
{
    /// <summary>Level of vendor, product code and revision, which every device that answers at all has.</summary>
    public const byte Basic = 1;

    /// <summary>Level of product, model and application name besides.</summary>
    public const byte Regular = 2;

    /// <summary>More transactions than this are not made for one identification.</summary>
    private const int MostTransactions = 16;

    private const byte MoreFollows = 0xFF;

    /// <summary>Reads all objects of a level, by number.</summary>
    public static async Task<(ModbusReply Reply, SortedDictionary<byte, string> Objects)> ReadAsync(
        ModbusClient client,
        byte level,
        CancellationToken cancel
    )
    {
        var objects = new SortedDictionary<byte, string>();
        var payload = new byte[Pdu.MostBytes];
        byte first = 0;
        for (var k = 0; k < MostTransactions; k++)
        {
            var reply = await client.ReadAsync(ModbusRequest.Identification(level, first), payload, cancel);
            if (reply.Outcome != CommandOutcome.Ok)
                return (reply, objects);
            var (hasMore, next) = Take(payload, objects);
            if (!hasMore)
                return (reply, objects);
            if (next <= first)
                return (Endless(client, reply, $"after object {first} it goes on at object {next}"), objects);
            first = next;
        }
        return (Endless(client, new ModbusReply(), $"it did not end within {MostTransactions} transactions"), objects);
    }

    /// <summary>Takes the objects of one reply, whose lengths its framing has proved.</summary>
    private static (bool HasMore, byte Next) Take(ReadOnlySpan<byte> payload, SortedDictionary<byte, string> objects)
    {
        // Level, conformity, whether more follows, next object, number of objects; then number, length and text of each.
        var at = 5;
        for (var k = 0; k < payload[4]; k++)
        {
            var length = payload[at + 1];
            objects[payload[at]] = Text(payload.Slice(at + 2, length));
            at += 2 + length;
        }
        return (payload[2] == MoreFollows, payload[3]);
    }

    private static string Text(ReadOnlySpan<byte> bytes) =>
        bytes.IndexOfAnyExceptInRange((byte)' ', (byte)'~') < 0
            ? Encoding.ASCII.GetString(bytes)
            : Scpi.Ascii.Shown(bytes);

    private static ModbusReply Endless(ModbusClient client, ModbusReply reply, string what) =>
        reply with
        {
            Outcome = CommandOutcome.Failed,
            Detail = $"{client.Exchange.Name}: its device identification does not come to an end: {what}.",
        };
}
