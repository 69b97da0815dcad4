using LoadTest.Analysis.Loads;
using LoadTest.Records.Journaling;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;

namespace LoadTest.RecordsTests.Journaling;

/// <summary>Entries for tests that do not care what they say, one of every kind.</summary>
internal static class SomeEntries
{
    public static IReadOnlyList<JournalEntry> All { get; } =
    [
        new RunOpened(
            TimeSpan.Zero,
            "run-1",
            "0.1.0",
            new DateTimeOffset(2026, 11, 25, 8, 30, 0, TimeSpan.Zero),
            "DG300-0417",
            true,
            ""
        )
        {
            Proof = SimulationProof.OneProcess,
        },
        new FileEmbedded(At(1), FileRole.Profile, "short.yaml", [.. "format: 1\n"u8]),
        new CautionAcknowledged(At(2), "hot air", "Outlet air is hot <b>& fast</b>.", "R. \"Ohm\" Ω"),
        new GateChecked(At(3), "identity of dmm-1", true, "SN 1042, as expected"),
        new GatePassed(At(4), 1, TimeSpan.FromMinutes(30)),
        new StepStarted(At(5), 1, "No load"),
        new Asked(
            At(6),
            new Question(
                1,
                QuestionKind.Do,
                HandAction.SetControl,
                "Turn the control to 150 A.",
                "constant current",
                new Quantity(150, Unit.Ampere),
                Unit.One
            )
        ),
        new Asked(
            At(7),
            new Question(2, QuestionKind.Number, HandAction.ReadPanelAmperes, "Read.", null, null, Unit.Ampere)
        ),
        new Answered(At(8), 2, new Answer(true, 148.5, "steady", "R. Ohm")),
        new Answered(At(8), 1, new Answer(false, null, "", "R. Ohm")),
        new SwitchIntended(At(9), 1, new ElementSet(0b101)),
        new SwitchEnded(At(10), 1, CommandResult.Unknown("no reply within 200 ms")),
        new StatesRead(
            At(11),
            new LoadStates(CommandOutcome.Ok, "", new ElementSet(5), new ElementSet(5), true, false, null, 1_234_567)
        ),
        new Scanned(
            TimeSpan.FromTicks(120_000_001),
            [
                new Reading(0, 31.993_457_123_456_78, IndicationFlag.Good, TimeSpan.FromTicks(120_000_000)),
                new Reading(1, -1.25e-7, IndicationFlag.Good, TimeSpan.FromTicks(119_999_999)),
                new Reading(2, 0, IndicationFlag.Overload, At(12)),
                new Reading(3, 0, IndicationFlag.NotANumber, At(12)),
                new Reading(4, 0, IndicationFlag.Missing, At(12)),
            ]
        ),
        new Scanned(At(12.5), []),
        new PointMeasured(At(13), 2, At(11), At(13), true, "settled: drift 0.02 %"),
        new StepEnded(At(14), 1, ""),
        new Tripped(At(15), "VOLTS", "stud volts 96.1 V, at most 95 V"),
        new LoadRemoved(At(15), new RemovalCause("VOLTS", "stud volts 96.1 V")),
        new OffJudged(At(16), true, Off),
        new OffJudged(At(16), false, new OffFacts(At(15), new AllOffCounts(0, 0, 9), null, [], null)),
        new OffSaid(At(16), true, "contacts open, 0.02 A"),
        new FindingMade(At(16.1), 3, "R. Ohm", "one lug hand-tight"),
        new AnswerCorrected(At(16.2), 2, new Answer(true, 150, "", "R. Ohm") { Typed = "150.0" }, "wrong scale read"),
        new Noted(At(16.3), "R. Ohm", "smells of <varnish>"),
        new AlarmRaised(At(16.4), 1, "AMPERES", "stud current 346 A, at most 345 A: switch the weld output off"),
        new AlarmAnswered(At(16.5), 1, "R. Ohm", "output off, engine stopped"),
        new HandSwitched(At(16.6), new ElementSet(0b110), "R. Ohm"),
        new AcknowledgementTakenOver(At(16.7), "hot air", "R. Ohm", "run-0", Hash),
        new JobNamed(At(16.8), "Depot 4", "W-1187", 1234.5, "on a trailer, dry"),
        new JobNamed(At(16.8), "", "", null, ""),
        new AdjustmentJudged(
            At(16.9),
            4,
            AdjustmentVerdict.NotNeeded,
            "",
            "0.1251 mV/A within 0.12375 to 0.12625 mV/A"
        ),
        new FileAttached(At(17), "photos/lug.jpg", 81_234, Hash),
        new HeatSampled(At(17), 5, 61.25, At(16), At(17)),
        new Stopped(At(17), "R. Ohm", "stop button"),
        new Remarked(At(18), "tab\there, line\nthere, null \0, emoji 🔧"),
        new ClockMoved(At(18.5), TimeSpan.FromSeconds(-37)),
        new OutputIntended(At(18.6), 2, IsOn: true),
        new OutputSwitched(At(18.7), 2, CommandResult.Ok, IsClosed: true),
        new OutputSwitched(At(18.8), 0, CommandResult.Unknown("no reply within 120 ms"), IsClosed: false),
        new RunClosed(At(19), Outcome.Tripped, "VOLTS", "stud volts 96.1 V, at most 95 V", BankEnd.Off),
    ];

    /// <summary>Contacts read, current gone, volts not read since; a person has spoken.</summary>
    private static OffFacts Off =>
        new(
            At(15),
            new AllOffCounts(3, 2, 1),
            new ContactsRead(ElementSet.None, At(15.2)),
            [
                new OffReading(3, ChannelRole.ReferenceShuntDrop, 0.02, OffSign.NoCurrent, At(15.3), At(15.3)),
                new OffReading(2, ChannelRole.StudVolts, 31.25, OffSign.NotLive, At(14.5), At(14.5)),
            ],
            new EngineStopped("R. Ohm", At(15.9))
        );

    /// <summary>SHA-256 of nothing (FIPS 180-4; from memory).</summary>
    public const string Hash = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855";

    public static TimeSpan At(double seconds) => TimeSpan.FromSeconds(seconds);

    public static byte[] Bytes(IEnumerable<JournalEntry> entries) => [.. Frames(entries).SelectMany(f => f)];

    public static IReadOnlyList<byte[]> Frames(IEnumerable<JournalEntry> entries)
    {
        using var writer = new FrameWriter();
        return [.. entries.Select(e => writer.Next(e).ToArray())];
    }

    public static JournalContents Read(byte[] bytes) => JournalContents.Read(new MemoryStream(bytes));
}
