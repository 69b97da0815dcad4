namespace LoadTest.InstrumentsTests.Bench;

/// <summary>What a bad wire does to one reply.</summary>
internal sealed record Mishap(string Name, Action<OwnAddressDevice, byte[]> Give)
{
    public static Mishap None { get; } = new("none", (device, reply) => device.Later(device.Delay, reply));

    public static Mishap Dropped { get; } = new("dropped", (_, _) => { });

    public static Mishap Late(TimeSpan delay) => new($"late by {delay}", (device, reply) => device.Later(delay, reply));

    public static Mishap Merged { get; } =
        new("given twice at once", (device, reply) => device.Later(device.Delay, [.. reply, .. reply]));

    public static Mishap Twice(TimeSpan apart) =>
        new(
            $"given twice, {apart} apart",
            (device, reply) =>
            {
                device.Later(device.Delay, reply);
                device.Later(device.Delay + apart, reply);
            }
        );

    public static Mishap Split(int at) =>
        new(
            $"split at {at}",
            (device, reply) =>
            {
                var cut = at % reply.Length;
                device.Later(device.Delay, reply[..cut]);
                device.Later(device.Delay + TimeSpan.FromMilliseconds(1), reply[cut..]);
            }
        );

    public static Mishap Flipped(int bit) =>
        new(
            $"bit {bit} flipped",
            (device, reply) =>
            {
                var bad = (byte[])reply.Clone();
                bad[bit / 8 % bad.Length] ^= (byte)(1 << bit % 8);
                device.Later(device.Delay, bad);
            }
        );

    public static Mishap Cut(int at) =>
        new($"cut at {at}", (device, reply) => device.Later(device.Delay, reply[..(at % reply.Length)]));

    public static Mishap Prefixed(byte[] noise) =>
        new("noise before it", (device, reply) => device.Later(device.Delay, [.. noise, .. reply]));

    public static Mishap Drip(TimeSpan apart) =>
        new(
            $"one byte every {apart}",
            (device, reply) =>
            {
                for (var k = 0; k < reply.Length; k++)
                    device.Later(apart * (k + 1), [reply[k]]);
            }
        );
}
