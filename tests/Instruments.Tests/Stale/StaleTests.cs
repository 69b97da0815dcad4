namespace LoadTest.InstrumentsTests.Stale;

/// <summary>With one reply in a hundred astray no value is another register's, and every loss is counted; `benchmarks -- stale` runs a million each.</summary>
public sealed class StaleTests
{
    [Theory]
    [InlineData("Rtu", 10)]
    [InlineData("RtuOverTcp", 10)]
    [InlineData("Tcp", 10)]
    [InlineData("Ascii", 10)]
    [InlineData("Rtu", 300)]
    [InlineData("RtuOverTcp", 300)]
    [InlineData("Tcp", 300)]
    [InlineData("Ascii", 300)]
    public void No_value_is_another_registers_and_every_loss_is_counted(string wiring, int perMille)
    {
        const long Exchanges = 10_000;
        var count = StaleExchanges.Run(Enum.Parse<Wiring>(wiring), Exchanges, perMille, seed: 1);
        Assert.Equal("", count.Trouble());
        Assert.InRange(count.Astray, Exchanges * perMille / 2000, Exchanges * perMille / 500);
        Assert.InRange(count.Good, Exchanges / 5, Exchanges);
    }

    [Theory]
    [InlineData("RtuOverTcp")]
    [InlineData("Tcp")]
    public void Neither_is_it_over_real_sockets(string wiring)
    {
        var count = RealTcp.Run(Enum.Parse<Wiring>(wiring), 500, perMille: 10, seed: 1);
        Assert.Equal("", count.Trouble());
        Assert.InRange(count.Good, 1, 500);
    }
}
