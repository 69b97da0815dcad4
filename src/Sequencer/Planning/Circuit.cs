using LoadTest.Analysis.Loads;
using LoadTest.Analysis.Quantities;
using LoadTest.Sequencer.Benches;

namespace LoadTest.Sequencer.Planning;

/// <summary>The current path from the studs through leads and reference shunt to the bank, with its ratings and times.</summary>
internal sealed class Circuit
{
    /// <summary>Scan period of the engine's fast path.</summary>
    public static readonly TimeSpan ScanPeriod = TimeSpan.FromMilliseconds(100);

    public Circuit(Bench bench)
    {
        Bench = bench;
        Bank = new LoadBank(
            bench.Bank.Elements.Select(
                (e, k) =>
                    new LoadElement($"{k + 1}", e.Resistance)
                    {
                        Tolerance = e.Tolerance,
                        RatedVolts = e.ContinuousVolts,
                        RatedAmperes = bench.Bank.ContactorAmperes,
                        ShortTime = new ShortTimeRating(e.ShortTimeVolts, e.ShortTime),
                        TemperatureCoefficientPerKelvin = e.TemperatureCoefficient,
                    }
            )
        );
        Series = (bench.Leads.Resistance + bench.ReferenceShunt.RatedVolts / bench.ReferenceShunt.RatedAmperes).Value;
        FastVolts = Fast(ChannelRole.BankVolts, ChannelRole.StudVolts);
        FastAmperes = Fast(ChannelRole.BankAmperes, ChannelRole.ReferenceShuntDrop);
        Timing = OffTimingOf(bench);
        Limits = new SwitchingLimits(PerOperation, Timing.WorstCase)
        {
            MostAmperes = new(Math.Min(bench.Leads.DutyAmperes.Value, bench.ReferenceShunt.RatedAmperes.Value)),
        };
    }

    public Bench Bench { get; }

    public LoadBank Bank { get; }

    /// <summary>Leads, lugs and reference shunt in series with the bank, Ω.</summary>
    public double Series { get; }

    /// <summary>Channel whose volts trip; the bank's own where both are fast.</summary>
    public Channel? FastVolts { get; }

    /// <summary>Channel whose amperes trip.</summary>
    public Channel? FastAmperes { get; }

    public OffTiming Timing { get; }

    public SwitchingLimits Limits { get; }

    /// <summary>Longest time one switching operation takes: write, read back, contact; a longer one ends the run.</summary>
    public TimeSpan PerOperation
    {
        get
        {
            var definition = Bench.Instrument(Bench.Bank.InstrumentId).Definition;
            var contact = definition.Switching is { } s ? Longer(s.CloseTime, s.OpenTime) : TimeSpan.Zero;
            return 2 * (definition.Deadline + definition.TurnAround) + contact;
        }
    }

    /// <summary>Bank resistance that makes a total resistance at the studs; null when the series path alone is more.</summary>
    public Ohms? BankFor(double totalOhms) => totalOhms > Series ? new(totalOhms - Series) : null;

    /// <summary>Total resistance at the studs with these elements on, Ω; positive infinity when open.</summary>
    public double TotalOf(ElementSet set) =>
        set.IsEmpty ? double.PositiveInfinity : Bank.ResistanceOf(set).Value + Series;

    /// <summary>Volts at the fast sense point over volts at the studs.</summary>
    public double FastPart(ElementSet set) =>
        set.IsEmpty || FastVolts?.Role != ChannelRole.BankVolts ? 1 : Bank.ResistanceOf(set).Value / TotalOf(set);

    private Channel? Fast(ChannelRole first, ChannelRole second) =>
        Bench.Channels.FirstOrDefault(c => c.IsFast && c.Role == first)
        ?? Bench.Channels.FirstOrDefault(c => c.IsFast && c.Role == second);

    private OffTiming OffTimingOf(Bench bench)
    {
        var definition = bench.Instrument(bench.Bank.InstrumentId).Definition;
        var aperture = new[] { FastVolts, FastAmperes }
            .OfType<Channel>()
            .Select(c => bench.Instrument(c.InstrumentId).Definition.Input(c.Input).Aperture)
            .DefaultIfEmpty(TimeSpan.Zero)
            .Max();
        return new OffTiming(
            aperture,
            ScanPeriod,
            2 * (definition.Deadline + definition.TurnAround),
            definition.Switching?.OpenTime ?? TimeSpan.Zero
        );
    }

    private static TimeSpan Longer(TimeSpan a, TimeSpan b) => a > b ? a : b;
}
