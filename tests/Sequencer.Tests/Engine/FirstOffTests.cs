using System.Collections.Immutable;
using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;

namespace LoadTest.SequencerTests.Engine;

/// <summary>The first thing a start does to a bench: all-off, read back, and said to be off only by two that agree.</summary>
public sealed class FirstOffTests
{
    private static readonly RunPlan Plan = SomePlan.Short;

    private sealed class Bench(Func<LoadStates> states, Func<ChannelRole, Indication> reads, bool isRight = true)
        : ILoad,
            IOutputEnable
    {
        public int AllOffs { get; private set; }
        public int Opened { get; private set; }
        public List<string> Introduced { get; } = [];
        public string Name => "bank-1";

        public Task<CommandResult> SwitchAsync(ElementSet elements, EnergisePermit permit, CancellationToken cancel) =>
            throw new InvalidOperationException("Nothing is switched on at a start.");

        public Task<CommandResult> SwitchAsync(bool isOn, EnergisePermit permit, CancellationToken cancel) =>
            throw new InvalidOperationException("Nothing is switched on at a start.");

        public Task<LoadStates> ReadStatesAsync(CancellationToken cancel) => Task.FromResult(states());

        public Task<CommandResult> SetFanAsync(bool isOn, CancellationToken cancel) =>
            throw new NotSupportedException();

        public Task<RelayState> ReadAsync(CancellationToken cancel) => throw new NotSupportedException();

        public void RemoveLoad() => AllOffs++;

        public AllOffCounts AllOff => new(AllOffs, AllOffs, 0);

        public void Open() => Opened++;

        public FirstOff Send()
        {
            var pump = Pump.Virtual(new DateTimeOffset(2026, 11, 25, 8, 0, 0, TimeSpan.Zero));
            var meters = Plan.Bench.Instruments.ToDictionary(
                i => i.Id,
                i => (IMeter)new Meter(i.Id, reads, isRight, Introduced.Add),
                StringComparer.Ordinal
            );
            return pump.Run(() => FirstOff.SendAsync(Plan, this, meters, pump, this));
        }
    }

    private sealed class Meter(string id, Func<ChannelRole, Indication> reads, bool isRight, Action<string> introduced)
        : IMeter
    {
        public string Name => id;

        public Task<IdentityReply> IdentifyAsync(CancellationToken cancel)
        {
            introduced(id);
            return Task.FromResult(new IdentityReply(isRight ? CommandResult.Ok : CommandResult.Failed("another"), id));
        }

        public Task<CommandResult> ConfigureAsync(CancellationToken cancel) => Task.FromResult(CommandResult.Ok);

        public Task<ImmutableArray<Indication>> ReadAsync(ImmutableArray<string> inputs, CancellationToken cancel) =>
            Task.FromResult(
                inputs
                    .Select(n => reads(Plan.Bench.Channels.First(c => c.InstrumentId == id && c.Input == n).Role))
                    .ToImmutableArray()
            );
    }

    private static LoadStates States(uint commanded, uint contacts, CommandOutcome outcome = CommandOutcome.Ok) =>
        new(
            outcome,
            outcome == CommandOutcome.Ok ? "" : "no reply.",
            new ElementSet(commanded),
            new ElementSet(contacts),
            true,
            false,
            true,
            0
        );

    private static Indication Nothing(ChannelRole role) => new(0, IndicationFlag.Good, 0);

    [Fact]
    public void Open_contacts_and_no_current_are_off_after_one_all_off_and_the_relay_opens_with_it()
    {
        var bench = new Bench(() => States(0, 0), Nothing);
        var off = bench.Send();
        Assert.True(off.IsConfirmed);
        Assert.Equal((1, 1), (bench.AllOffs, bench.Opened));
        Assert.StartsWith("all contacts read open", off.Detail, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(2, 0)]
    [InlineData(0, 2)]
    public void Element_commanded_or_closed_is_named_and_all_off_repeated_for_five_seconds(
        uint commanded,
        uint contacts
    )
    {
        var bench = new Bench(() => States(commanded, contacts), Nothing);
        var off = bench.Send();
        Assert.False(off.IsOpen || off.IsConfirmed);
        Assert.Contains("ELEMENT 2 STILL ON", off.Detail, StringComparison.Ordinal);
        // At once, and every tenth of a second up to and with the fifth.
        Assert.Equal(51, bench.AllOffs);
        Assert.Equal(bench.AllOffs, bench.Opened);
    }

    [Fact]
    public void Bank_that_cannot_be_read_is_not_off_and_says_why()
    {
        var off = new Bench(() => States(0, 0, CommandOutcome.Unknown), Nothing).Send();
        Assert.False(off.IsOpen);
        Assert.StartsWith(
            "the bank could not be read: no reply; contacts never read, ",
            off.Detail,
            StringComparison.Ordinal
        );
    }

    [Theory]
    [InlineData(ChannelRole.ReferenceShuntDrop)]
    [InlineData(ChannelRole.BankAmperes)]
    public void Current_by_any_sensor_keeps_the_load_from_being_called_off(ChannelRole shown)
    {
        var off = new Bench(
            () => States(0, 0),
            r => new Indication(r == shown ? 50 : 0, IndicationFlag.Good, 0)
        ).Send();
        Assert.True(off.IsOpen);
        Assert.Equal(false, off.IsCurrentGone);
    }

    [Fact]
    public void Current_by_two_sensors_is_current_and_the_words_give_the_amperes_of_the_reference_shunt()
    {
        // 12.5 mV on a shunt of 50 mV at 500 A are 125 A.
        var off = new Bench(
            () => States(0, 0),
            r => new Indication(
                r == ChannelRole.BankAmperes ? 125
                    : r == ChannelRole.ReferenceShuntDrop ? 0.0125
                    : 0,
                IndicationFlag.Good,
                0
            )
        ).Send();
        Assert.Equal(false, off.IsCurrentGone);
        Assert.StartsWith("all contacts read open 5.0 s after the removal; ", off.Detail, StringComparison.Ordinal);
        Assert.Contains("; 125 A by the reference shunt 5.0 s after ", off.Detail, StringComparison.Ordinal);
    }

    [Fact]
    public void Bank_whose_states_are_read_needs_no_introduction_and_every_other_instrument_one()
    {
        var bench = new Bench(() => States(0, 0), Nothing);
        bench.Send();
        Assert.Equal(
            Plan.Bench.Channels.Where(c => c.Role is ChannelRole.ReferenceShuntDrop or ChannelRole.UnitShuntDrop)
                .Select(c => c.InstrumentId)
                .Order(StringComparer.Ordinal),
            bench.Introduced.Order(StringComparer.Ordinal),
            StringComparer.Ordinal
        );
    }

    [Fact]
    public void Without_a_witness_of_the_current_nothing_is_called_off()
    {
        var silent = new Bench(() => States(0, 0), _ => new Indication(0, IndicationFlag.Missing, 0)).Send();
        Assert.Null(silent.IsCurrentGone);
        Assert.Contains("no current reading", silent.Detail, StringComparison.Ordinal);
        var wrong = new Bench(() => States(0, 0), Nothing, isRight: false).Send();
        Assert.NotEqual(true, wrong.IsCurrentGone);
        Assert.False(wrong.IsConfirmed);
    }
}
