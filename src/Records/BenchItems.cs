using System.Collections.Immutable;
using LoadTest.Analysis;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Planning;

namespace LoadTest.Records;

/// <summary>Lists the instruments and shunts of a bench with their certificates.</summary>
internal static class BenchItems
{
    /// <summary>Every instrument, then the reference shunt.</summary>
    public static ImmutableArray<BenchItem> Of(RunPlan plan, DateOnly day) =>
        [.. plan.Bench.Instruments.Select(i => Instrument(plan, i, day)), Shunt(plan.Bench.ReferenceShunt, day)];

    private static BenchItem Instrument(RunPlan plan, BenchInstrument instrument, DateOnly day)
    {
        var bench = plan.Bench;
        var channels = bench.Channels.Where(c => c.InstrumentId == instrument.Id).ToArray();
        var reads = string.Join("; ", channels.Select(c => $"{c.Name} at {c.SensePoint}"));
        if (instrument.Id == bench.Bank.InstrumentId)
            reads = reads.Length == 0 ? "switches the load bank" : $"switches the load bank; {reads}";
        var byHand = plan.Steps.OfType<AskStep>().Where(s => s.Meter?.Instrument.Id == instrument.Id).ToArray();
        if (byHand.Length > 0)
            reads = $"read by hand: {string.Join("; ", byHand.Select(s => s.Title))}";
        var judges =
            plan.ReadByHand(instrument.Id)
            || Array.Exists(
                channels,
                c =>
                    c.Role is ChannelRole.StudVolts or ChannelRole.ReferenceShuntDrop or ChannelRole.UnitShuntDrop
                    && (!c.IsFast || !bench.Channels.Any(o => o.Role == c.Role && !o.IsFast))
            );
        return new BenchItem(
            instrument.Id,
            instrument.Definition.Name,
            instrument.SerialNumber,
            reads,
            instrument.Certificate,
            judges,
            IsInDate(instrument.Certificate, day)
        );
    }

    private static BenchItem Shunt(CertifiedShunt shunt, DateOnly day) =>
        new(
            "reference shunt",
            $"{Figures.With(shunt.RatedAmperes.Value, "A")} / {Figures.Of(shunt.RatedVolts.Value * 1000, 6)} mV, class {Figures.Of(shunt.ClassIndex, 3)}",
            shunt.SerialNumber,
            "carries the output current",
            shunt.Certificate,
            IsJudging: true,
            IsInDate(shunt.Certificate, day)
        );

    private static bool IsInDate(Certificate? certificate, DateOnly day) =>
        certificate is { } c && c.Date <= day && day <= c.Due;
}
