using LoadTest.Records;
using LoadTest.Sequencer.Benches;
using LoadTest.Simulator.Parameters;

namespace LoadTest.Running;

/// <summary>The world of a simulated bench: found by name, read, and put on the bench's wires.</summary>
/// <param name="World">The parameters, the bank's framing that of the bench file.</param>
/// <param name="Name">Name of the file, as embedded in a journal.</param>
/// <param name="Bytes">Its bytes.</param>
internal sealed record Worlds(WorldFile World, string Name, byte[] Bytes)
{
    private const int LongestWorld = 256 * 1024;

    /// <summary>Reads the world of a bench.</summary>
    /// <param name="bench">The bench.</param>
    /// <param name="benchPath">Path of its file; worlds lie in <c>worlds/</c> of the folder above.</param>
    /// <param name="file">Another world file; null for the one the bench names.</param>
    /// <exception cref="IOException">There is none, or it cannot be read.</exception>
    /// <exception cref="WorldFileException">It is not a world.</exception>
    public static Worlds Of(Bench bench, string benchPath, string? file)
    {
        var name = file ?? bench.World;
        if (name is null)
            throw new IOException(
                $"{benchPath}: names no `simulated world`, so there is nothing to simulate. Give one with --world FILE."
            );
        var path = file ?? ProfileFolder.Resolve(benchPath, Path.Combine("worlds", name));
        if (path is null && !IsShipped(name))
            throw new IOException(
                $"{benchPath}: there is no worlds/{name} beside its folder. Give a file with --world FILE."
            );
        var bytes = path is null ? Shipped(name) : RegularFile.Whole(path, LongestWorld);
        var world = WorldFile.Parse(System.Text.Encoding.UTF8.GetString(bytes), Path.GetFileName(path ?? name));
        return new Worlds(OnWires(world, bench), Path.GetFileName(path ?? name), bytes);
    }

    private static WorldFile OnWires(WorldFile world, Bench bench) =>
        bench.Instrument(bench.Bank.InstrumentId).Definition.Protocol switch
        {
            Protocol.ModbusTcp => world.WithBankProtocol("modbus-tcp"),
            Protocol.Text => world.WithBankProtocol("text"),
            Protocol.ModbusRtu => world.WithBankProtocol("modbus-rtu"),
            _ => world,
        };

    private static bool IsShipped(string name) =>
        typeof(WorldFile).Assembly.GetManifestResourceInfo($"worlds/{name}") is not null;

    private static byte[] Shipped(string name)
    {
        using var stream = typeof(WorldFile).Assembly.GetManifestResourceStream($"worlds/{name}")!;
        using var bytes = new MemoryStream();
        stream.CopyTo(bytes);
        return bytes.ToArray();
    }
}
