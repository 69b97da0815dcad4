using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;

namespace LoadTest.RecordsTests.Runs;

/// <summary>Writes the journal an engine would write, for a plan and a unit on paper; the same arguments give the same entries.</summary>
internal sealed class FakeRun
{
    public const double ReferenceCorrection = 0.0001;
    private static readonly TimeSpan Period = TimeSpan.FromMilliseconds(100);
    private readonly List<JournalEntry> _entries = [];
    private readonly RunPlan _plan;
    private readonly FakeUnit _unit;
    private ulong _state;
    private TimeSpan _now;
    private int _command;
    private int _question;
    private ElementSet _elements;

    private FakeRun(RunPlan plan, FakeUnit unit, ulong seed)
    {
        _plan = plan;
        _unit = unit;
        _state = seed;
    }

    /// <summary>A whole run; stopped by a trip in the middle of one step when asked for.</summary>
    public static IReadOnlyList<JournalEntry> Entries(
        RunPlan plan,
        FakeUnit unit,
        ulong seed = 1,
        int? tripAtStep = null,
        int? unsettledStep = null,
        bool isSimulated = true,
        string operatorName = "R. Ohm",
        IReadOnlyList<FileEmbedded>? files = null
    )
    {
        var run = new FakeRun(plan, unit, seed);
        run._entries.Add(
            new RunOpened(
                TimeSpan.Zero,
                "run-2026-11-25-01",
                "0.1.0",
                new DateTimeOffset(2026, 11, 25, 8, 30, 0, TimeSpan.Zero),
                "DG300-0417",
                isSimulated,
                ""
            )
        );
        run._entries.AddRange(files ?? []);
        run.Gate(operatorName);
        foreach (var step in plan.Steps)
        {
            run.Step(step, unsettledStep, operatorName);
            if (step.Number == tripAtStep)
            {
                run.Trip();
                return run._entries;
            }
        }
        run._entries.Add(new RunClosed(run._now, Outcome.Complete, "", "every step was done", BankEnd.Off));
        return run._entries;
    }

    private void Gate(string operatorName)
    {
        _entries.Add(
            new CautionAcknowledged(
                Tick(5),
                "Hot air outlet",
                "Keep people, hoses and leads clear of the bank's air stream; grilles stay hot after the load is off.",
                operatorName
            )
        );
        _entries.Add(
            new CautionAcknowledged(
                Tick(4),
                "Studs live",
                "The studs are live until the engine has stopped and the voltage is measured.",
                operatorName
            )
        );
        foreach (var instrument in _plan.Bench.Instruments)
            _entries.Add(
                new GateChecked(
                    Tick(0.3),
                    $"identity of {instrument.Id}",
                    true,
                    $"serial number {instrument.SerialNumber}, as the bench file says"
                )
            );
        _entries.Add(new GateChecked(Tick(0.2), "nothing live", true, "stud volts 0.002 V, at most 1 V"));
        _entries.Add(new GatePassed(Tick(0.1), 1, TimeSpan.FromMinutes(30)));
    }

    private void Step(PlannedStep step, int? unsettledStep, string operatorName)
    {
        _entries.Add(new StepStarted(Tick(0.5), step.Number, step.Title));
        switch (step)
        {
            case AskStep ask:
                Ask(
                    new Question(
                        ++_question,
                        QuestionKind.Do,
                        ask.Kind == AskKind.Adjust ? HandAction.Adjust : HandAction.None,
                        ask.Title,
                        null,
                        null,
                        ask.Unit
                    ),
                    ask.Kind == AskKind.Number ? 8.73 : null,
                    operatorName
                );
                if (ask.Kind == AskKind.Adjust)
                    _unit.Gain = 0.0004;
                break;
            case EnergiseStepPlan energise:
                Switch(energise.Proving.Elements);
                Scans(energise.Proving, 2);
                _entries.Add(new GatePassed(Tick(0.1), 2, TimeSpan.FromMinutes(30)));
                break;
            case PointStep point:
                Measure(point, point.Number != unsettledStep, operatorName);
                break;
            default:
                Switch(ElementSet.None);
                FindOff(1);
                break;
        }
        _entries.Add(new StepEnded(Tick(0.1), step.Number, ""));
    }

    private void Measure(PointStep point, bool settles, string operatorName)
    {
        Switch(point.State.Elements);
        Scans(point.State, 4);
        var hold = (int)(point.Hold.TotalSeconds / Period.TotalSeconds);
        Scans(point.State, 20 + hold);
        var from = _now - 19 * Period - TimeSpan.FromMilliseconds(50);
        _entries.Add(
            new PointMeasured(
                Tick(0.01),
                point.Number,
                from,
                _now,
                settles,
                settles ? "settled: drift 0.01 % over 4 s" : "drifting 0.8 % over 4 s"
            )
        );
        if (!point.ReadPanel)
            return;
        var (volts, amperes) = _unit.At(point.State);
        var seen = amperes * (1 + _unit.Gain) * (1 + _unit.PanelGain);
        Ask(
            new Question(
                ++_question,
                QuestionKind.Number,
                HandAction.ReadPanelAmperes,
                "Read the ammeter.",
                null,
                null,
                Unit.Ampere
            ),
            Math.Round(seen),
            operatorName
        );
        Ask(
            new Question(
                ++_question,
                QuestionKind.Number,
                HandAction.ReadPanelVolts,
                "Read the voltmeter.",
                null,
                null,
                Unit.Volt
            ),
            Math.Round(volts * 10) / 10,
            operatorName
        );
    }

    private void Scans(BenchState state, int count)
    {
        var (volts, amperes) = _unit.At(state);
        var shunt = _plan.Bench.ReferenceShunt;
        var reference = amperes * shunt.RatedVolts.Value / shunt.RatedAmperes.Value * (1 + ReferenceCorrection);
        var own = amperes * _plan.Nameplate.Shunt.RatedRatio * (1 + _unit.Gain) + 3e-6;
        for (var i = 0; i < count; i++)
        {
            _now += Period;
            _entries.Add(
                new Scanned(
                    _now,
                    [
                        .. _plan.Bench.Channels.Select(
                            (c, k) =>
                                c.Role switch
                                {
                                    ChannelRole.BankVolts => Good(k, volts - amperes * FakeUnit.Series, 0.02),
                                    ChannelRole.BankAmperes => Good(k, amperes, 0.1),
                                    ChannelRole.StudVolts => Good(k, volts, 0.004),
                                    ChannelRole.ReferenceShuntDrop => Good(k, reference, 1e-6),
                                    ChannelRole.UnitShuntDrop => Good(k, own, 1e-6),
                                    _ => Good(k, 25, 0.1),
                                }
                        ),
                    ]
                )
            );
        }
    }

    private void Switch(ElementSet elements)
    {
        if (elements == _elements)
            return;
        _elements = elements;
        _entries.Add(new SwitchIntended(Tick(0.01), ++_command, elements));
        _entries.Add(new SwitchEnded(Tick(0.05), _command, CommandResult.Ok));
        _entries.Add(
            new StatesRead(
                Tick(0.05),
                new LoadStates(CommandOutcome.Ok, "", elements, elements, true, false, true, _now.Ticks)
            )
        );
    }

    private void Ask(Question question, double? number, string operatorName)
    {
        _entries.Add(new Asked(Tick(0.1), question));
        _entries.Add(
            new Answered(
                Tick(3),
                question.Number,
                new Answer(true, number, "", operatorName) { Typed = number?.ToString("0.0") }
            )
        );
    }

    private void Trip()
    {
        _entries.Add(new Tripped(Tick(0.1), "VOLTS", "stud volts 96.1 V, at most 95 V"));
        _entries.Add(new LoadRemoved(Tick(0.01), new RemovalCause("VOLTS", "stud volts 96.1 V, at most 95 V")));
        FindOff(0.4);
        _entries.Add(
            new RunClosed(Tick(0.1), Outcome.Tripped, "VOLTS", "stud volts 96.1 V, at most 95 V", BankEnd.Off)
        );
    }

    private Reading Good(int channel, double value, double noise) =>
        new(channel, value + noise * Normal(), IndicationFlag.Good, _now - TimeSpan.FromMilliseconds(10));

    // Contacts read open and no current by the certified shunt, half way between switching off and now; the source is dead.
    private void FindOff(double seconds)
    {
        const double Amperes = 0.01;
        var removed = _now;
        var read = Tick(seconds / 2);
        var shunt = _plan.Bench.Channels.Index().First(c => c.Item.Role == ChannelRole.ReferenceShuntDrop).Index;
        var rating = _plan.Bench.ReferenceShunt;
        var reading = new Reading(
            shunt,
            Amperes * rating.RatedVolts.Value / rating.RatedAmperes.Value,
            IndicationFlag.Good,
            read
        );
        _entries.Add(
            new StatesRead(
                read,
                new LoadStates(CommandOutcome.Ok, "", ElementSet.None, ElementSet.None, true, false, true, read.Ticks)
            )
        );
        _entries.Add(new Scanned(read, [reading]));
        _entries.Add(
            new OffJudged(
                Tick(seconds / 2),
                true,
                new OffFacts(
                    removed,
                    new AllOffCounts(1, 1, 0),
                    new ContactsRead(ElementSet.None, read),
                    [LoadWitness.Of(_plan, reading, read, isProved: true, isStuck: false)],
                    null
                )
            )
        );
    }

    private TimeSpan Tick(double seconds) => _now += TimeSpan.FromSeconds(seconds);

    // Sum of twelve uniform numbers less six; near enough to normal for readings on paper.
    private double Normal()
    {
        var sum = -6.0;
        for (var i = 0; i < 12; i++)
        {
            _state = unchecked(_state * 6364136223846793005UL + 1442695040888963407UL);
            sum += (_state >> 11) * (1.0 / (1UL << 53));
        }
        return sum;
    }
}
