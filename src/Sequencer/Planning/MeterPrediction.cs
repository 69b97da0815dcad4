using LoadTest.Analysis.Shunts;
using LoadTest.Analysis.Uncertainty;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Planning;

/// <summary>Standard uncertainty to be expected of the judging channels, from data sheet, certificate and shunt.</summary>
/// <remarks>
/// What only the run can tell (scatter, ripple, zero readings, age of a certificate) is not in it: the run's own budget may be larger or smaller. Limits of
/// error are rectangles, u = a/√3 (JCGM 100:2008, 4.3.7); certificates give U/k. Worked: 30.000 V on a 100 V range,
/// ± (0.0045 % of reading + 0.0006 % of range): gain 1.35 mV, range 0.6 mV in two halves, u = 0.82 mV.
/// </remarks>
internal sealed class MeterPrediction(Bench bench)
{
    /// <summary>Kelvins the reference shunt's temperature may be off its certificate's, beside its own heating.</summary>
    private const double ShuntAmbient = 5;

    private static readonly double RootThree = Math.Sqrt(3);

    /// <summary>The channel that judges in this role: the slow one where there are two.</summary>
    public Channel? Judging(ChannelRole role) =>
        bench.Channels.FirstOrDefault(c => c.Role == role && !c.IsFast) ?? bench.ChannelFor(role);

    /// <summary>u of volts at the studs, V; null when the bench has no such channel.</summary>
    public double? StudVolts(double volts) => Of(Judging(ChannelRole.StudVolts), volts, Unit.Volt);

    /// <summary>u of a reading beside the weld output, in the role's unit; null when the bench has no such channel.</summary>
    public double? Beside(ChannelRole role, double value) => Of(Judging(role), value, ChannelRoles.UnitOf(role));

    /// <summary>u of the drop of the unit's own shunt, V.</summary>
    public double? UnitShuntDrop(double drop) => Of(Judging(ChannelRole.UnitShuntDrop), drop, Unit.Volt);

    /// <summary>Drop of the reference shunt at a current, V.</summary>
    public double ReferenceDrop(double amperes) =>
        amperes * bench.ReferenceShunt.RatedVolts.Value / bench.ReferenceShunt.RatedAmperes.Value;

    /// <summary>u of amperes by the reference shunt, or by the bank's own sensor where there is no such channel.</summary>
    public double? Amperes(double amperes)
    {
        var shunt = bench.ReferenceShunt;
        var ratio = shunt.RatedVolts.Value / shunt.RatedAmperes.Value;
        if (Judging(ChannelRole.ReferenceShuntDrop) is not { } channel)
            return Of(Judging(ChannelRole.BankAmperes), amperes, Unit.Ampere);
        if (Of(channel, amperes * ratio, Unit.Volt) is not { } ofDrop)
            return null;
        var part = amperes / shunt.RatedAmperes.Value;
        var kelvins = ShuntAmbient + shunt.SelfHeatingKelvins * part * part;
        return Root(
            ofDrop / ratio,
            Ratio(shunt, amperes) * amperes,
            ReferenceShunt.YearlyPartOfClass * shunt.ClassIndex / 100 / RootThree * amperes,
            shunt.ThermalVolts.Value / ratio / RootThree,
            Math.Abs(shunt.TemperatureCoefficient) * kelvins / RootThree * amperes
        );
    }

    /// <summary>u of a change between two readings of one meter, over the value: steps, short-term stability; of the reference shunt also its thermal
    /// EMF, and its warming where no thermometer sits on it.</summary>
    public double? RepeatStep(ChannelRole role, double value)
    {
        if (Judging(role) is not { } channel || value == 0)
            return null;
        var input = Input(channel);
        var sheet = MeterSheet.Of(input, channel.InstrumentId);
        var stability = MeterSpecification.ShortTermPart * sheet.At(value, sheet.Ranges[0]).HalfWidth;
        var (thermal, warming) = role == ChannelRole.ReferenceShuntDrop ? BetweenReadings(value) : (0, 0);
        return Root(Math.Sqrt(0.5) * input.Resolution, stability, thermal, warming) / RootThree / Math.Abs(value);
    }

    // Half-widths, V, of what the reference shunt itself may change.
    private (double Thermal, double Warming) BetweenReadings(double drop)
    {
        var shunt = bench.ReferenceShunt;
        var part = drop / shunt.RatedVolts.Value;
        var kelvins = Judging(ChannelRole.ReferenceShuntTemperature) is null
            ? shunt.SelfHeatingKelvins * part * part
            : 0;
        return (shunt.ThermalVolts.Value, Math.Abs(shunt.TemperatureCoefficient) * kelvins * drop);
    }

    /// <summary>u of one reading of a meter without a wire, in its input's unit; null beyond its range.</summary>
    /// <remarks>One reading alone: its data sheet's limit of error counts as one rectangle, because nothing here takes a part of it off.</remarks>
    public static double? ByHand(HandReading meter, double value)
    {
        var (instrument, input) = (meter.Instrument, meter.Input);
        if (Math.Abs(value) > input.Range)
            return null;
        var sheet = MeterSheet.Of(input, instrument.Id);
        return Root(
            sheet.At(value, sheet.Ranges[0]).HalfWidth / RootThree,
            input.Resolution / 2 / RootThree,
            Certified(instrument.Certificate, input.Name, value)
        );
    }

    /// <summary>Root of the sum of squares.</summary>
    public static double Root(params ReadOnlySpan<double> parts)
    {
        var sum = 0.0;
        foreach (var part in parts)
            sum += part * part;
        return Math.Sqrt(sum);
    }

    private InputDefinition Input(Channel channel) =>
        bench.Instrument(channel.InstrumentId).Definition.Input(channel.Input);

    private double? Of(Channel? channel, double value, Unit unit)
    {
        if (channel is null)
            return null;
        var input = Input(channel);
        if (input.Unit != unit || Math.Abs(value) > input.Range)
            return null;
        var instrument = bench.Instrument(channel.InstrumentId);
        // On a day like any other: inside its band of temperature and warmed up.
        var sheet = MeterSheet.Of(input, instrument.Id);
        var limits = sheet.At(value, sheet.Ranges[0]).Parts.Sum(p => p.HalfWidth * p.HalfWidth);
        return Root(
            Math.Sqrt(limits) / RootThree,
            input.Resolution / 2 / RootThree,
            Certified(instrument.Certificate, input.Name, value)
        );
    }

    private static double Ratio(CertifiedShunt shunt, double amperes) =>
        shunt.Certificate is { Points.IsEmpty: false } certificate
            ? Certified(certificate, null, amperes)
            : shunt.ClassIndex / 100 / RootThree;

    /// <summary>U/k of the certificate's nearest point; zero when it has none for this input.</summary>
    private static double Certified(Certificate? certificate, string? input, double value) =>
        certificate
            ?.Points.Where(p => p.Input is null || p.Input == input)
            .OrderBy(p => Math.Abs(p.At.Value - value))
            .Select(p => p.Expanded.Value / p.CoverageFactor)
            .FirstOrDefault()
        ?? 0;
}
