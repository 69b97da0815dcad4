using LoadTest.Records;
using LoadTest.RecordsTests.Runs;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Planning;
using LoadTest.SequencerTests;

namespace LoadTest.RecordsTests;

/// <summary>A name is for people: no number depends on what anything is called.</summary>
public sealed class RenamingTests
{
    /// <summary>Names that look like lines of a budget, like findings, or like one another.</summary>
    [Theory]
    [InlineData("volts at the studs: scatter of 20 readings")]
    [InlineData("regression of 9 points: resolution")]
    [InlineData("zero drift (thermal EMF)")]
    [InlineData("reference shunt RS-1: certificate")]
    [InlineData("Temperature last digit, certificate: specification")]
    public void Renaming_what_a_bench_is_made_of_changes_no_uncertainty(string name)
    {
        var told = Uncertainties(Some.Bench());
        var renamed = Uncertainties(Renamed(Some.Bench(), name));
        Assert.Equal(told, renamed);
        Assert.True(told.Length > 20, $"{told.Length} uncertainties were compared.");
    }

    private static double[] Uncertainties(Bench bench)
    {
        var plan = Planner.Plan(SomeRun.Verification(), Some.Nameplate(), bench);
        var entries = FakeRun.Entries(plan, new FakeUnit(-0.018));
        var record = RecordBuilder.Build(SomeRun.Journal(entries), plan, []);
        return
        [
            .. record.Groups.SelectMany(g => g.Judged).Select(j => j.Judgement.Expanded),
            .. record.Groups.SelectMany(g => g.Judged).Select(j => j.Predicted ?? 0),
            .. record
                .Groups.SelectMany(g => g.Points)
                .SelectMany(p => new[] { p.Volts, p.Amperes, p.UnitDrop })
                .Select(m => m?.Budget.Expanded ?? 0),
            .. record
                .Groups.Select(g => g.Shunt)
                .OfType<Analysis.Shunts.ShuntRatio>()
                .SelectMany(s =>
                    new[] { s.Budget.Expanded, s.GainErrorPercent.StandardUncertainty, s.Offset.StandardUncertainty }
                ),
        ];
    }

    // Instruments keep apart what was apart: a name with a number of its own for each.
    private static Bench Renamed(Bench bench, string name)
    {
        string Id(string id) => $"{name} {bench.Instruments.Select(i => i.Id).ToList().IndexOf(id)}";
        return bench with
        {
            Name = name,
            Bank = bench.Bank with { InstrumentId = Id(bench.Bank.InstrumentId) },
            Instruments = [.. bench.Instruments.Select(i => i with { Id = Id(i.Id), SerialNumber = name })],
            Channels =
            [
                .. bench.Channels.Select(
                    (c, k) =>
                        c with
                        {
                            Name = k == 0 ? name : $"{name} {k}",
                            InstrumentId = Id(c.InstrumentId),
                            SensePoint = name,
                        }
                ),
            ],
            ReferenceShunt = bench.ReferenceShunt with { SerialNumber = name },
        };
    }
}
