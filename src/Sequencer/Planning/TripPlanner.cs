using System.Collections.Immutable;
using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Planning;

/// <summary>Freezes the profile's trip rules for each state, drawn in to what elements and bench stand.</summary>
internal sealed class TripPlanner(LoadProfile profile, Nameplate nameplate, Circuit circuit)
{
    /// <summary>Warming of an element the conductance band allows for, K; elements glow well below it.</summary>
    private const double ElementWarming = 300;

    /// <summary>Reverse current or voltage beyond this part of the rating trips: nothing may feed back.</summary>
    private const double ReversePart = 0.02;

    /// <summary>With the bank open no more than this part of the rated current, beside the meter's own error, may be read.</summary>
    private const double LeakPart = 0.01;

    /// <summary>Beyond this many times the predicted current the control is lost, whatever the profile allows.</summary>
    /// <remarks>A unit set to 60 A that gives 322 A is far from any error of adjustment, yet below 115 % of 300 A.</remarks>
    private const double RunawayTimes = 1.5;

    /// <summary>Part of the rated current added to that, for low settings.</summary>
    private const double RunawayPart = 0.05;

    /// <summary>Limits of a state once it is reached.</summary>
    public TripLimits For(UnitMode mode, ElementSet elements, double amperes)
    {
        var part = circuit.FastPart(elements);
        var isLoaded = !elements.IsEmpty;
        var (volts, current) = Rules(mode, elements, isLoaded);
        var upperVolts = volts.Upper * part;
        foreach (var index in elements.Indices())
            upperVolts = Math.Min(upperVolts, circuit.Bank.Elements[index].ContinuousVolts.Value);
        var upperAmperes = isLoaded
            ? Math.Min(
                Math.Min(current.Upper, circuit.Limits.MostAmperes!.Value.Value),
                RunawayTimes * amperes + RunawayPart * mode.RatedAmperes.Value
            )
            : LeakPart * mode.RatedAmperes.Value + 2 * FastAccuracy.Amperes(circuit, 0);
        return new TripLimits(
            new Band(volts.Lower * (volts.Lower > 0 ? part : 1), upperVolts),
            new Band(isLoaded ? current.Lower : Reverse(mode), upperAmperes),
            isLoaded ? Conductance(mode, elements, amperes) : null
        )
        {
            Side = Side(mode, isAuxiliaryLoaded: false),
        };
    }

    /// <summary>Limits while control or elements move: the profile's upper limits, nothing reversed.</summary>
    public TripLimits Passing(UnitMode mode)
    {
        var (volts, current) = Rules(mode, ElementSet.None, isLoaded: false);
        return new TripLimits(
            volts,
            new Band(current.Lower, Math.Min(current.Upper, circuit.Limits.MostAmperes!.Value.Value)),
            null
        )
        {
            Side = Side(mode, isAuxiliaryLoaded: false),
        };
    }

    /// <summary>Limits of temperatures and of the auxiliary output; its lower limits count only while it is loaded.</summary>
    public ImmutableArray<SideLimit> Side(UnitMode mode, bool isAuxiliaryLoaded) =>
        [
            .. profile
                .Trips.Where(t => IsSide(t.Measurand))
                .Select(t => new SideLimit(
                    MeasurandText.RoleOf(t.Measurand),
                    new Band(
                        (isAuxiliaryLoaded ? Value(t.Below, mode) : null) ?? double.NegativeInfinity,
                        Value(t.Above, mode) ?? double.PositiveInfinity
                    )
                )),
        ];

    /// <summary>Whether a trip is on a channel beside the weld output.</summary>
    public static bool IsSide(Measurand measurand) =>
        measurand
            is Measurand.UnitTemperature
                or Measurand.BankOutletTemperature
                or Measurand.LugTemperature
                or Measurand.ReferenceShuntTemperature
                or Measurand.AuxiliaryVoltage
                or Measurand.AuxiliaryCurrent
                or Measurand.AuxiliaryFrequency;

    private (Band Volts, Band Amperes) Rules(UnitMode mode, ElementSet elements, bool isLoaded)
    {
        var volts = new Band(-ReversePart * mode.RatedVolts.Value, double.PositiveInfinity);
        var amperes = new Band(Reverse(mode), double.PositiveInfinity);
        foreach (var rule in profile.Trips)
        {
            var above = Value(rule.Above, mode) ?? double.PositiveInfinity;
            var below = (isLoaded ? Value(rule.Below, mode) : null) ?? double.NegativeInfinity;
            switch (rule.Measurand)
            {
                case Measurand.OutputVoltage:
                    volts = Tightened(volts, below, above);
                    break;
                case Measurand.OutputCurrent:
                    amperes = Tightened(amperes, below, above);
                    break;
                case Measurand.OutputPower when isLoaded:
                    // P = U²/R = I²·R with the resistance known: a limit on power is one on each.
                    var ohms = circuit.TotalOf(elements);
                    volts = Tightened(volts, Root(below * ohms), Math.Sqrt(above * ohms));
                    amperes = Tightened(amperes, Root(below / ohms), Math.Sqrt(above / ohms));
                    break;
            }
        }
        return (volts, amperes);
    }

    /// <summary>Amperes over volts of the elements commanded: the profile's rule, else what tolerance, warming and meters explain.</summary>
    private Band Conductance(UnitMode mode, ElementSet elements, double amperes)
    {
        var sensed = circuit.FastVolts?.Role == ChannelRole.BankVolts ? 0 : circuit.Series;
        var siemens = 1 / (circuit.Bank.ResistanceOf(elements).Value + sensed);
        var rules = profile.Trips.Where(t => t.Measurand == Measurand.LoadConductance).ToArray();
        if (rules.Length > 0)
        {
            return rules.Aggregate(
                new Band(0, double.PositiveInfinity),
                (band, rule) =>
                    Tightened(
                        band,
                        Value(rule.Below, mode, siemens) ?? double.NegativeInfinity,
                        Value(rule.Above, mode, siemens) ?? double.PositiveInfinity
                    )
            );
        }

        var on = elements.Indices().Select(k => circuit.Bank.Elements[k]).ToArray();
        var tolerance = on.Max(e => e.Tolerance) + FastAccuracy.RelativeConductance(circuit, amperes, siemens);
        var warming = on.Max(e => Math.Max(0, e.TemperatureCoefficientPerKelvin)) * ElementWarming;
        return new Band(siemens * (1 - tolerance) / (1 + warming), siemens * (1 + tolerance));
    }

    private double? Value(Amount? amount, UnitMode mode, double? commanded = null) =>
        amount is null ? null : AmountResolver.Resolve(amount, nameplate, mode, commanded)?.Value;

    private static double Reverse(UnitMode mode) => -ReversePart * mode.RatedAmperes.Value;

    private static double Root(double square) => square > 0 ? Math.Sqrt(square) : double.NegativeInfinity;

    private static Band Tightened(Band band, double lower, double upper) =>
        new(Math.Max(band.Lower, lower), Math.Min(band.Upper, upper));
}
