using System.Collections.Immutable;
using LoadTest.Analysis.Loads;
using LoadTest.Records.Verifying;
using LoadTest.RecordsTests.Runs;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;

namespace LoadTest.RecordsTests.Verifying;

/// <summary>Journals rewritten by somebody who can chain frames of his own: what the laws notice, and what they cannot.</summary>
public sealed class JournalLawTests
{
    private static readonly RunPlan Plan = SomeRun.Plan();
    private static readonly IReadOnlyList<JournalEntry> Complete = FakeRun.Entries(Plan, new FakeUnit(-0.018));

    private static readonly IReadOnlyList<JournalEntry> Tripped = FakeRun.Entries(
        Plan,
        new FakeUnit(-0.018),
        tripAtStep: 9
    );

    private static ImmutableArray<LawBreach> Broken(IEnumerable<JournalEntry> entries) =>
        JournalLaws.Broken([.. entries], Plan);

    // The chain holds: it was made again over the changed entries.
    private static BytesAnswer Rewritten(IReadOnlyList<JournalEntry> entries)
    {
        var answer = BytesAnswer.Of(SomeRun.Journal(entries));
        Assert.Null(answer.Bad);
        return answer with { Broken = Broken(entries) };
    }

    private static int First(Func<JournalEntry, bool> which) => Complete.ToList().FindIndex(e => which(e));

    private static JournalEntry[] With(int at, Func<JournalEntry, JournalEntry> change)
    {
        JournalEntry[] entries = [.. Complete];
        entries[at] = change(entries[at]);
        return entries;
    }

    private static JournalEntry[] Without(int at) => [.. Complete.Take(at), .. Complete.Skip(at + 1)];

    private static JournalEntry[] Off(Func<OffJudged, OffReading, OffJudged> change) =>
        With(First(e => e is OffJudged), e => change((OffJudged)e, ((OffJudged)e).Facts.Readings[0]));

    private static OffJudged Told(OffJudged judged, OffReading reading) =>
        judged with
        {
            Facts = judged.Facts with { Readings = [reading] },
        };

    private static JournalEntry[] Closed(Func<RunClosed, RunClosed> change) =>
        [.. Complete.SkipLast(1), change((RunClosed)Complete[^1])];

    [Fact]
    public void Honest_run_and_every_beginning_of_it_keeps_every_law()
    {
        foreach (var run in new[] { Complete, Tripped })
        {
            Assert.Empty(Broken(run));
            for (var length = 0; length < run.Count; length += 13)
                Assert.Empty(Broken(run.Take(length)));
        }
    }

    [Fact]
    public void Every_law_is_named_once() =>
        Assert.Equal(
            JournalLaws.All.Length,
            JournalLaws.All.Select(l => l.Name).Distinct(StringComparer.Ordinal).Count()
        );

    public static TheoryData<string> Rewritings => [.. s_rewritings.Keys];

    private static readonly Dictionary<string, (string Law, Func<JournalEntry[]> Entries)> s_rewritings = new(
        StringComparer.Ordinal
    )
    {
        ["the gate taken out"] = ("gate", () => Without(First(e => e is GatePassed { Half: 1 }))),
        ["the relay closed before the gate"] = (
            "gate",
            () => [Complete[0], new OutputIntended(TimeSpan.Zero, 0, true), .. Complete.Skip(1)]
        ),
        ["the gate's halves exchanged"] = (
            "gate",
            () => With(First(e => e is GatePassed { Half: 1 }), e => ((GatePassed)e) with { Half = 2 })
        ),
        ["an intent taken out"] = ("intended", () => Without(First(e => e is SwitchIntended))),
        ["an end told twice"] = (
            "intended",
            () =>
            {
                var at = First(e => e is SwitchEnded);
                return [.. Complete.Take(at + 1), .. Complete.Skip(at)];
            }
        ),
        ["a relay that ended with no intent"] = (
            "intended",
            () =>
                [
                    .. Complete.SkipLast(1),
                    new OutputSwitched(Complete[^1].At, 900, CommandResult.Ok, false),
                    Complete[^1],
                ]
        ),
        ["command numbers that fall"] = (
            "intended",
            () => With(First(e => e is SwitchIntended { Command: 2 }), e => ((SwitchIntended)e) with { Command = 1 })
        ),
        ["switched on after a trip"] = (
            "removed",
            () => [.. Tripped.SkipLast(1), new SwitchIntended(Tripped[^1].At, 900, new ElementSet(1)), Tripped[^1]]
        ),
        ["the relay closed after a stop"] = (
            "removed",
            () =>
                [
                    .. Complete.SkipLast(1),
                    new Stopped(Complete[^1].At, "X", "x"),
                    new OutputIntended(Complete[^1].At, 900, true),
                    Complete[^1],
                ]
        ),
        ["a time set back"] = (
            "time",
            () =>
                With(
                    First(e => e is StepStarted { Step: 9 }),
                    e => ((StepStarted)e) with { At = TimeSpan.FromSeconds(1) }
                )
        ),
        ["a reading from the future"] = (
            "time",
            () =>
                With(
                    First(e => e is Scanned),
                    e =>
                    {
                        var scan = (Scanned)e;
                        return scan with
                        {
                            Readings = scan.Readings.SetItem(
                                0,
                                scan.Readings[0] with
                                {
                                    At = scan.At + TimeSpan.FromTicks(1),
                                }
                            ),
                        };
                    }
                )
        ),
        ["a question taken out"] = ("question", () => Without(First(e => e is Asked))),
        ["a step begun twice"] = (
            "rising",
            () => With(First(e => e is StepStarted { Step: 9 }), e => ((StepStarted)e) with { Step = 8 })
        ),
        ["a step's end taken out"] = ("rising", () => Without(First(e => e is StepEnded { Step: 9 }))),
        ["a step's beginning taken out"] = ("rising", () => Without(First(e => e is StepStarted { Step: 9 }))),
        ["a point of another step"] = (
            "measured within",
            () => With(First(e => e is PointMeasured), e => ((PointMeasured)e) with { Step = 60 })
        ),
        ["a window that ends before it begins"] = (
            "measured within",
            () =>
                With(
                    First(e => e is PointMeasured),
                    e => ((PointMeasured)e) with { To = ((PointMeasured)e).From - TimeSpan.FromTicks(1) }
                )
        ),
        ["a window that is not over yet"] = (
            "measured within",
            () =>
                With(First(e => e is PointMeasured), e => ((PointMeasured)e) with { To = e.At + TimeSpan.FromTicks(1) })
        ),
        ["a trip called complete"] = (
            "complete",
            () => [.. Tripped.SkipLast(1), ((RunClosed)Tripped[^1]) with { Outcome = Outcome.Complete, Code = "" }]
        ),
        ["a trip called by another cause"] = (
            "complete",
            () => [.. Tripped.SkipLast(1), ((RunClosed)Tripped[^1]) with { Code = "CURRENT" }]
        ),
        ["a trip with no trip in it"] = ("complete", () => Closed(c => c with { Outcome = Outcome.Tripped })),
        ["a stop nobody asked for"] = ("complete", () => Closed(c => c with { Outcome = Outcome.Stopped })),
        ["complete with the last step open"] = (
            "complete",
            () =>
            {
                var at = Complete.ToList().FindLastIndex(e => e is StepEnded);
                return Without(at);
            }
        ),
        ["complete without a step"] = ("complete", () => [Complete[0], Complete[^1]]),
        ["never energised after a load"] = ("bank", () => Closed(c => c with { Bank = BankEnd.NeverEnergised })),
        ["load off confirmed against its facts"] = (
            "load off",
            () => Off((o, _) => o with { Facts = o.Facts with { Readings = [] } })
        ),
        ["load off told from before the removal"] = (
            "load off",
            () => Off((o, _) => o with { Facts = o.Facts with { Removed = TimeSpan.Zero } })
        ),
        ["contacts nobody read"] = (
            "load off",
            () =>
                Off(
                    (o, _) =>
                        o with
                        {
                            Facts = o.Facts with
                            {
                                Contacts = new ContactsRead(ElementSet.None, o.At - TimeSpan.FromTicks(1)),
                            },
                        }
                )
        ),
        ["a reading no scan holds"] = (
            "load off",
            () => Off((o, r) => Told(o, r with { At = r.At + TimeSpan.FromTicks(1) }))
        ),
        ["no current where the reading showed some"] = (
            "load off",
            () => Off((o, r) => Told(o, r with { Value = r.Value / 2 }))
        ),
        ["a source called live that is not"] = (
            "load off",
            () => Off((o, r) => Told(o, r with { Sign = OffSign.Live }))
        ),
        ["a reading told that was outdated"] = (
            "load off",
            () =>
            {
                var at = First(e => e is OffJudged);
                var off = (OffJudged)Complete[at];
                var again = new Reading(off.Facts.Readings[0].Channel, 0.05, IndicationFlag.Good, off.At);
                return [.. Complete.Take(at), new Scanned(off.At, [again]), .. Complete.Skip(at)];
            }
        ),
        ["contacts told that were read again since"] = (
            "load off",
            () =>
            {
                var at = First(e => e is OffJudged);
                var states = Complete.Take(at).OfType<StatesRead>().Last().States with { Contacts = new ElementSet(2) };
                return [.. Complete.Take(at), new StatesRead(Complete[at].At, states), .. Complete.Skip(at)];
            }
        ),
        ["off without a finding"] = ("bank", () => [.. Complete.Where(e => e is not LoadOff)]),
        ["off found before the last switching on"] = (
            "bank",
            () => [.. Complete.SkipLast(1), new SwitchIntended(Complete[^1].At, 900, new ElementSet(1)), Complete[^1]]
        ),
    };

    [Theory]
    [MemberData(nameof(Rewritings))]
    public void Rewritten_journal_whose_chain_holds_breaks_its_law(string rewriting)
    {
        var (law, entries) = s_rewritings[rewriting];
        var answer = Rewritten(entries());

        Assert.False(answer.Hold);
        Assert.Contains(answer.Broken, b => b.Law.Contains(law, StringComparison.Ordinal));
        Assert.All(answer.Broken, b => Assert.Contains($"Frame {b.Frame}", b.ToString(), StringComparison.Ordinal));
    }

    [Fact]
    public void Interrupted_run_may_be_closed_as_off_without_a_finding_and_as_never_energised_by_an_intent_alone()
    {
        var intent = First(e => e is SwitchIntended);
        var at = Complete[intent].At;
        RunClosed End(BankEnd bank) => new(at, Outcome.Interrupted, "DISK", "x", bank);

        Assert.Empty(Broken([.. Complete.Take(intent + 1), End(BankEnd.Off)]));
        Assert.Empty(Broken([.. Complete.Take(intent + 1), End(BankEnd.NeverEnergised)]));
        Assert.Empty(Broken([.. Complete.Take(intent + 1), End(BankEnd.OffNotConfirmed)]));
    }

    [Fact]
    public void Relay_opened_with_a_removal_waits_for_no_intent() =>
        Assert.Empty(
            Broken([
                .. Complete.SkipLast(1),
                new OutputSwitched(Complete[^1].At, 0, CommandResult.Ok, false),
                Complete[^1],
            ])
        );

    [Fact]
    public void Readings_of_the_start_after_a_crash_stand_in_no_scan_and_are_told_all_the_same()
    {
        var on = First(e => e is SwitchEnded);
        var at = Complete[on].At;
        var facts = ((OffJudged)Complete[First(e => e is OffJudged)]).Facts.After(at);
        JournalEntry[] Closed(bool isConfirmed, OffFacts told) =>
            [
                .. Complete.Take(on + 1),
                new LoadRemoved(at, new RemovalCause(ConfirmationLaw.InterruptedCode, "x")),
                new OffJudged(at, isConfirmed, told),
                new RunClosed(at, Outcome.Interrupted, ConfirmationLaw.InterruptedCode, "x", BankEnd.Off),
            ];

        Assert.Empty(Broken(Closed(true, facts)));
        Assert.NotEmpty(Broken(Closed(true, facts with { Readings = [] })));
    }

    /// <summary>The limit of every check without a key, told by a test so that nobody forgets it.</summary>
    [Fact]
    public void Readings_no_confirmation_quotes_are_changed_and_chained_again_without_a_law_that_notices()
    {
        JournalEntry[] entries =
        [
            .. Complete.Select(e =>
                e is Scanned { Readings.Length: > 1 } s
                    ? s with
                    {
                        Readings = [.. s.Readings.Select(r => r with { Value = r.Value * 1.02 })],
                    }
                    : e
            ),
        ];

        Assert.True(Rewritten(entries).Hold);
    }

    [Fact]
    public void Entries_taken_out_doubled_exchanged_or_moved_in_time_and_chained_again_break_a_law_or_change_nothing_that_is_ordered()
    {
        var chance = new Random(36);
        var noticed = new Dictionary<string, (int Noticed, int Tried)>(StringComparer.Ordinal);
        int[] ordered =
        [
            .. Enumerable
                .Range(1, Complete.Count - 2)
                .Where(i => Complete[i] is SwitchIntended or StepStarted or StepEnded),
        ];
        for (var trial = 0; trial < 2000; trial++)
        {
            var (what, entries) = Change(chance, ordered[chance.Next(ordered.Length)], chance.Next(4));
            var isBroken = !Broken(entries).IsEmpty;
            var (n, tried) = noticed.GetValueOrDefault(what);
            noticed[what] = (n + (isBroken ? 1 : 0), tried + 1);
        }
        Assert.All(
            noticed.Where(n => n.Key != "no change of order"),
            n => Assert.True(n.Value.Noticed == n.Value.Tried, $"{n.Key}: {n.Value.Noticed} of {n.Value.Tried}")
        );
    }

    private static (string What, JournalEntry[] Entries) Change(Random chance, int at, int how)
    {
        JournalEntry[] entries = [.. Complete];
        var kind = Complete[at].GetType().Name;
        switch (how)
        {
            case 0:
                return ($"{kind} taken out", Without(at));
            case 1:
                return ($"{kind} doubled", [.. entries[..(at + 1)], .. entries[at..]]);
            case 2:
                (entries[at], entries[at + 1]) = (entries[at + 1], entries[at]);
                // Frames at the same time may be told in either order unless one rests on the other.
                return (
                    entries[at].At > entries[at + 1].At ? $"{kind} told after what followed it" : "no change of order",
                    entries
                );
            default:
                entries[at] = entries[at] with { At = entries[at - 1].At - TimeSpan.FromTicks(1 + chance.Next(1000)) };
                return ($"{kind} moved back in time", entries);
        }
    }
}
