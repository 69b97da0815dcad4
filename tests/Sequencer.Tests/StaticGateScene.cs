using System.Collections.Immutable;
using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Gating;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;

namespace LoadTest.SequencerTests;

/// <summary>What the static gate is played with: a bank, meters, a relay, paper, a script.</summary>
internal static class StaticGateScene
{
    private static readonly DateTimeOffset Start = new(2026, 11, 25, 8, 0, 0, TimeSpan.Zero);

    internal sealed class Bank(TimeProvider time) : ILoad
    {
        public int AllOffs { get; private set; }
        public int AirAfter { get; init; }
        public int Unread { get; init; }
        public int OpensAfter { get; init; }
        private int _reads;

        public string Name => "bank-1";

        public Task<CommandResult> SwitchAsync(ElementSet elements, EnergisePermit permit, CancellationToken cancel) =>
            throw new InvalidOperationException("The gate never switches anything on.");

        public Task<LoadStates> ReadStatesAsync(CancellationToken cancel) =>
            Task.FromResult(
                new LoadStates(
                    _reads < Unread ? CommandOutcome.Unknown : CommandOutcome.Ok,
                    "",
                    default,
                    _reads < OpensAfter ? ElementSet.Of(1) : default,
                    _reads++ >= AirAfter,
                    false,
                    true,
                    time.GetTimestamp()
                )
            );

        public Task<CommandResult> SetFanAsync(bool isOn, CancellationToken cancel)
        {
            IsFanOn = isOn;
            return Task.FromResult(CommandResult.Ok);
        }

        public bool IsFanOn { get; private set; }

        public void RemoveLoad() => AllOffs++;

        public AllOffCounts AllOff => new(AllOffs, AllOffs, 0);
    }

    internal sealed class Meter(string name, Func<IdentityReply> identity) : IMeter
    {
        public bool IsConfigured { get; private set; }
        public bool IsRead { get; private set; }

        public string Name => name;

        public Task<IdentityReply> IdentifyAsync(CancellationToken cancel) => Task.FromResult(identity());

        public Task<CommandResult> ConfigureAsync(CancellationToken cancel)
        {
            IsConfigured = true;
            return Task.FromResult(CommandResult.Ok);
        }

        public Task<ImmutableArray<Indication>> ReadAsync(ImmutableArray<string> inputs, CancellationToken cancel)
        {
            IsRead = true;
            return Task.FromResult(inputs.Select(_ => new Indication(0, IndicationFlag.Good, 0)).ToImmutableArray());
        }
    }

    internal sealed class Relay(int opensAfter) : IOutputEnable
    {
        public int Opened { get; private set; }
        public int Read { get; private set; }
        public string Name => "relays-1 output enable";

        public Task<CommandResult> SwitchAsync(bool isOn, EnergisePermit permit, CancellationToken cancel) =>
            throw new InvalidOperationException("The gate never switches anything on.");

        public Task<RelayState> ReadAsync(CancellationToken cancel) =>
            Task.FromResult(new RelayState(CommandResult.Ok, Opened == 0 || Read++ < opensAfter, 0));

        public void Open() => Opened++;
    }

    internal sealed class Paper : IJournal
    {
        public List<JournalEntry> Entries { get; } = [];
        public long Acknowledged { get; private set; } = -1;
        public Task<string> Lost => new TaskCompletionSource<string>().Task;

        public long Append(JournalEntry entry)
        {
            Entries.Add(entry);
            return Entries.Count - 1;
        }

        public Task SyncAsync(long number)
        {
            Acknowledged = number;
            return Task.CompletedTask;
        }
    }

    internal sealed class Script(bool isPerson, Func<Question, bool> says, string remark = "") : IOperator
    {
        public List<Question> Asked { get; } = [];
        public bool IsPerson => isPerson;

        public Task<Answer> AskAsync(Question question, CancellationToken cancel)
        {
            Asked.Add(question);
            return Task.FromResult(new Answer(says(question), null, remark, "A. Invented"));
        }
    }

    internal sealed class Scene
    {
        public Paper Journal { get; } = new();
        public Script Operator { get; init; } = new(isPerson: true, _ => true);
        public Func<string, IdentityReply> Identity { get; init; } = id => new(CommandResult.Ok, id);
        public bool IsProvedSimulated { get; init; }
        public ImmutableArray<Caution> Clearances { get; init; } = [];
        public int AirAfter { get; init; }
        public int Unread { get; init; }
        public int OpensAfter { get; init; }
        public Relay? Output { get; init; }
        public RunPlan Plan { get; init; } =
            Planner.Plan(Some.Profile(Some.Energise(), Some.Sweep()), Some.Nameplate(), Some.Bench());
        public Bank? Load { get; private set; }
        public TimeSpan Took { get; private set; }
        public ImmutableArray<Meter> Meters { get; private set; }

        public StaticGateResult Run()
        {
            var pump = Pump.Virtual(Start);
            Load = new Bank(pump)
            {
                AirAfter = AirAfter,
                Unread = Unread,
                OpensAfter = OpensAfter,
            };
            Meters = [.. Plan.Bench.Instruments.Select(i => new Meter(i.Id, () => Identity(i.Id)))];
            var setting = new StaticGateSetting(
                Plan,
                Load,
                [.. Meters],
                Journal,
                Operator,
                pump,
                pump.GetTimestamp(),
                IsProvedSimulated,
                new DateOnly(2026, 11, 25),
                Gate.ReserveBytes,
                []
            )
            {
                Clearances = Clearances,
                Output = Output,
            };
            return pump.Run(async () =>
            {
                var result = await StaticGate.RunAsync(setting, TestContext.Current.CancellationToken);
                Took = TimeSpan.FromTicks(pump.GetTimestamp());
                return result;
            });
        }
    }
}
