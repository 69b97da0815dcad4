using System.Globalization;
using CsCheck;
using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.SequencerTests.Engine;

/// <summary>Laws under any mixture of mishaps at any time; those of each single transition are checked by <see cref="HandFed"/>.</summary>
public sealed class MachineLaws
{
    private enum Mishap
    {
        Stop,
        Signal,
        Late,
        StorageLost,
        Weld,
        Stick,
        ContactDrops,
        CoilsDrop,
        Silence,
        Overload,
        NotANumber,
        WrongScale,
        Frozen,
        Reversed,
        BankUnread,
        BankMute,
        SwitchUnknown,
        SwitchRefused,
        SwitchLost,
        NeverDurable,
        EngineStalls,
        EmergencyStop,
        Declines,
        OperatorGone,
        LateTick,
        StrayInputs,
        AllOffLost,
        ContactsLie,
    }

    private static readonly string[] Instruments = ["bank-1", "dmm-1", "dmm-2", "dmm-3"];

    private static readonly Gen<(int Scan, Mishap Mishap, int Which)[]> Day = Gen.Select(
        Gen.Int[0, 700],
        Gen.Enum<Mishap>(),
        Gen.Int[0, 31]
    ).Array[0, 4];

    /// <summary>Days tried; fewer while mutants are tried, each of which has to live through them.</summary>
    private static readonly int Days = int.Parse(
        Environment.GetEnvironmentVariable("LOADTEST_DAYS") ?? "1500",
        CultureInfo.InvariantCulture
    );

    [Fact]
    public void Every_run_ends_and_off_is_only_said_of_a_bank_that_is_off_or_lies_about_a_dead_element()
    {
        Day.Sample(
            day =>
            {
                var world = new HandFedWorld(day.Length % 2 == 0 ? SomePlan.Watched : SomePlan.Short);
                world.Feed(new RunBegan(TimeSpan.Zero));
                foreach (var (scan, mishap, which) in day.OrderBy(d => d.Scan))
                {
                    while (world.State.Phase != RunPhase.Closed && world.Machine.Now < scan * RunMachine.ScanPeriod)
                        world.Move();
                    if (world.State.Phase != RunPhase.Closed)
                        Happen(world, mishap, which);
                }
                world.UntilClosed(TimeSpan.FromMinutes(5));
                CheckEnd(world);
            },
            iter: Days,
            print: day => string.Join(", ", day)
        );
    }

    private static void CheckEnd(HandFedWorld world)
    {
        var closed = world.Machine.Closed!;
        if (closed.Bank == BankEnd.NeverEnergised)
            Assert.DoesNotContain(world.Machine.Commands, c => c is SwitchElements { Elements.IsEmpty: false });
        else if (closed.Bank == BankEnd.Off)
            Assert.True(world.WasOffWhenSaid);
        else
            Assert.False(world.Machine.Entries.OfType<LoadOff>().Last().IsConfirmed);
        Assert.Equal(closed.Outcome == Outcome.Complete, world.State.Latched is null);
        Assert.Equal(closed.Code, world.State.Latched?.Code ?? "");
    }

    private static void Happen(HandFedWorld world, Mishap mishap, int which)
    {
        var now = world.Machine.Now;
        switch (mishap)
        {
            case Mishap.Stop:
                world.Feed(new StopAsked(now, "A. Invented", ""));
                break;
            case Mishap.Signal:
                world.Write(ElementSet.None);
                world.Feed(new LoadGone(now, new RemovalCause("SIGNAL", "")));
                break;
            case Mishap.Late:
                world.Write(ElementSet.None);
                world.Feed(new LoadGone(now, new RemovalCause("LATE", "")));
                break;
            case Mishap.StorageLost:
                world.Feed(new RunBroke(now, "DISK", ""));
                break;
            case Mishap.OperatorGone when world.State.OpenQuestion is { } open:
                world.Ignores = c => c is Ask;
                world.Feed(new OperatorLost(now, open, ""));
                break;
            case Mishap.LateTick:
                world.Feed(new Ticked(world.Machine.Now += TimeSpan.FromSeconds(which / 10.0)));
                break;
            case Mishap.StrayInputs:
                world.Feed(new EntrySynced(now, world.State.Commands + 1));
                world.Feed(new SwitchFinished(now, world.State.Commands + 1, CommandResult.Failed("")));
                world.Feed(new OperatorAnswered(now, which, new Answer(false, null, "", "nobody")));
                world.Feed(new StatesArrived(now, 0, world.States()));
                world.Feed(new RunBegan(now));
                break;
            case Mishap.Declines:
                world.Says = q => new Answer(world.State.Latched is not null, null, "", "A. Invented");
                break;
            default:
                Break(world, mishap, which);
                break;
        }
    }

    private static void Break(HandFedWorld world, Mishap mishap, int which)
    {
        var role = (ChannelRole)(which % 6);
        var element = ElementSet.Of(which % 8);
        switch (mishap)
        {
            case Mishap.Weld:
                world.Welded = element;
                break;
            case Mishap.Stick:
                world.Dead = element;
                break;
            case Mishap.ContactDrops:
                world.Contacts = world.Contacts.Except(element);
                break;
            case Mishap.CoilsDrop:
                world.Write(ElementSet.None);
                break;
            case Mishap.Silence:
                world.Silent.Add(Instruments[which % 4]);
                break;
            case Mishap.Overload:
                world.Reads = (c, v) => (v, c.Role == role ? IndicationFlag.Overload : IndicationFlag.Good);
                break;
            case Mishap.NotANumber:
                world.Reads = (c, v) => (v, c.Role == role ? IndicationFlag.NotANumber : IndicationFlag.Good);
                break;
            case Mishap.WrongScale:
                world.Reads = (c, v) => (c.Role == role ? 10 * v : v, IndicationFlag.Good);
                break;
            case Mishap.Reversed:
                world.Reads = (c, v) => (c.Role == role ? -v : v, IndicationFlag.Good);
                break;
            case Mishap.Frozen:
                var frozen = world.State.LastGood.Select(r => r.Value).ToArray();
                var channels = world.Plan.Bench.Channels;
                world.Reads = (c, v) => (c.Role == role ? frozen[channels.IndexOf(c)] : v, IndicationFlag.Good);
                break;
            case Mishap.BankUnread:
                world.SaysOfBank = s => s with { Outcome = CommandOutcome.Unknown };
                break;
            case Mishap.ContactsLie:
                world.SaysOfBank = s => s with { Contacts = ElementSet.None, Commanded = ElementSet.None };
                break;
            case Mishap.EmergencyStop:
                world.SaysOfBank = s => s with { IsStopHealthy = false };
                break;
            case Mishap.EngineStalls:
                world.Unit.IsEngineRunning = false;
                break;
            default:
                Lose(world, mishap);
                break;
        }
    }

    private static void Lose(HandFedWorld world, Mishap mishap)
    {
        var old = world.Ignores;
        world.Ignores = command =>
        {
            if (old(command))
                return true;
            switch (mishap, command)
            {
                case (Mishap.BankMute, ReadStates):
                case (Mishap.SwitchLost, SwitchElements):
                case (Mishap.NeverDurable, WriteSynced):
                case (Mishap.AllOffLost, RemoveLoadNow):
                    return true;
                case (Mishap.SwitchUnknown, SwitchElements to):
                    world.Write(to.Elements);
                    world.Later(new SwitchFinished(default, to.Command, CommandResult.Unknown("")));
                    return true;
                case (Mishap.SwitchRefused, SwitchElements to):
                    world.Later(new SwitchFinished(default, to.Command, CommandResult.Failed("")));
                    return true;
                default:
                    return false;
            }
        };
    }
}
