using CsCheck;
using LoadTest.Instruments.Modbus;
using LoadTest.InstrumentsTests.Bench;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;

namespace LoadTest.InstrumentsTests.Modbus;

/// <summary>Registers read together: as few requests as the gaps allow, and every value its own.</summary>
public sealed class ReadPlanTests
{
    [Theory]
    [InlineData(0, 4)] // 1 · 2 3 · 6 · 10
    [InlineData(1, 4)]
    [InlineData(2, 3)] // 1 2 3 · · 6
    [InlineData(3, 2)] // 1 2 3 · · 6 · · · 10
    public void Gap_joins_what_is_no_further_apart(int mostGap, int plus)
    {
        int[] addresses = [1, 2, 3, 6, 10, 90];
        var plan = new ReadPlan([.. addresses.Select(a => Some.Register(a))], mostGap: mostGap);
        Assert.Equal(plus, plan.RequestCount);
    }

    [Fact]
    public void Nobody_elses_register_is_read_unless_the_definition_allows_it() =>
        OnPump(async wire =>
        {
            await new ReadPlan([Some.Register(1), Some.Register(3)]).ReadAsync(wire.Client, CancellationToken.None);
            Assert.Equal(
                "0400010001 0400030001",
                string.Join(" ", wire.Device.Requests.Select(r => Convert.ToHexString(r.Pdu)))
            );
        });

    [Fact]
    public void Value_carries_the_time_of_its_replys_last_byte() =>
        OnPump(async wire =>
        {
            // Eleven bytes: the first five after 5 ms, the others 1 ms later.
            wire.Device.Mishaps.Enqueue(Mishap.Split(5));
            var plan = new ReadPlan([Some.Register(1)]);
            await plan.ReadAsync(wire.Client, CancellationToken.None);
            Assert.Equal(TimeSpan.FromMilliseconds(6).Ticks, plan.Timestamp(0));
        });

    [Fact]
    public void Values_are_those_of_their_registers_whatever_is_grouped() =>
        Gen.Select(Gen.Int[0, 2000].Array[1, 30], Gen.Int[0, 200])
            .Sample(
                (addresses, mostGap) =>
                    OnPump(async wire =>
                    {
                        var plan = new ReadPlan([.. addresses.Select(a => Some.Register(a))], mostGap: mostGap);
                        var reply = await plan.ReadAsync(wire.Client, CancellationToken.None);
                        Assert.Equal(CommandOutcome.Ok, reply.Outcome);
                        for (var k = 0; k < addresses.Length; k++)
                            Assert.Equal(addresses[k], plan.Value(k));
                        Assert.InRange(plan.RequestCount, 1, addresses.Distinct().Count());
                        Assert.All(wire.Device.Requests, r => Assert.InRange(r.Pdu[3] << 8 | r.Pdu[4], 1, 125));
                    }),
                iter: 300
            );

    private static void OnPump(Func<Wire, Task> body)
    {
        var pump = Pump.Virtual(Some.Start);
        pump.Run(() => body(new Wire(pump, isTcp: true)));
    }
}
