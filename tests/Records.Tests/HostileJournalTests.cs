using CsCheck;
using LoadTest.Records;
using LoadTest.Records.Writing;
using LoadTest.RecordsTests.Runs;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.RecordsTests;

/// <summary>Journals whose every frame is good and that say impossible things.</summary>
public sealed class HostileJournalTests
{
    private static readonly IReadOnlyList<JournalEntry> Usual = FakeRun.Entries(SomeRun.Plan(), new FakeUnit(-0.018));

    private static readonly Gen<double> Value = Gen.OneOf(
        Gen.Double[-1000, 1000],
        Gen.Const(0.0),
        Gen.Const(9.9e36),
        Gen.Const(-9.9e36),
        Gen.Const(1e-300)
    );

    private static readonly Gen<TimeSpan> Time = Gen.Long[0, 3_000_000_000].Select(TimeSpan.FromTicks);

    private static readonly Gen<JournalEntry> Odd = Gen.OneOf<JournalEntry>(
        Gen.Select(Gen.Int[-2, 90], Time, Time, Gen.Bool)
            .Select((step, from, to, settled) => (JournalEntry)new PointMeasured(to, step, from, to, settled, "odd")),
        Gen.Select(Time, Gen.Select(Gen.Int[-3, 9], Value, Gen.Enum<IndicationFlag>(), Time).Array[0, 30])
            .Select(
                (at, readings) =>
                    (JournalEntry)
                        new Scanned(at, [.. readings.Select(r => new Reading(r.Item1, r.Item2, r.Item3, r.Item4))])
            ),
        Gen.Select(Gen.Int[-2, 90], Value)
            .Select(
                (question, number) =>
                    (JournalEntry)new Answered(TimeSpan.Zero, question, new Answer(true, number, "", "X"))
            ),
        Gen.Int[-2, 90].Select(step => (JournalEntry)new StepStarted(TimeSpan.Zero, step, "odd"))
    );

    [Fact]
    public void Impossible_entries_among_good_ones_give_a_record_or_a_reason_and_never_crash()
    {
        var plan = SomeRun.Plan();
        Gen.Select(Gen.Int[1, Usual.Count - 2].Array[1, 4], Odd.Array[1, 12])
            .Sample(
                (places, odd) =>
                {
                    var entries = Usual.ToList();
                    for (var i = 0; i < odd.Length; i++)
                        entries.Insert(places[i % places.Length], odd[i]);
                    var record = RecordBuilder.Build(SomeRun.Journal(entries), plan, []);
                    Assert.NotEmpty(RecordJson.Write(record));
                },
                iter: 150,
                threads: 1
            );
    }
}
