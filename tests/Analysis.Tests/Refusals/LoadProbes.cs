using LoadTest.Analysis.Loads;
using LoadTest.Analysis.Quantities;

namespace LoadTest.AnalysisTests.Refusals;

/// <summary>Elements, sources and the sets that meet a wish.</summary>
internal static class LoadProbes
{
    private static readonly SwitchingLimits s_limits = new(TimeSpan.FromSeconds(0.2), TimeSpan.FromSeconds(1));
    private static readonly ConstantCurrent s_source = new(new Amperes(100), new Volts(80));

    public static IEnumerable<Probe> All() =>
        [
            new("ConstantCurrent.new", p => new ConstantCurrent(new Amperes(p.P(300)), new Volts(p.P(80)))),
            new(
                "ConstantVoltage.new",
                p => new ConstantVoltage(new Volts(p.P(28)), new Amperes(p.Nu(400)), new Volts(p.P(40)))
            ),
            new("Drooping.new", p => new Drooping(new Volts(p.P(80)), new Ohms(p.P(0.16)))),
            new("SourceCharacteristic.VoltsOn", p => s_source.VoltsOn(new Ohms(p.Nu(0.1)))),
            new("SourceCharacteristic.AmperesInto", p => s_source.AmperesInto(new Ohms(p.Nu(0.1)))),
            new("SourceCharacteristic.RegulatesOn", p => s_source.RegulatesOn(new Ohms(p.Nu(0.1)))),
            new("LoadBank.new", p => new LoadBank([Element(p, "E1"), Element(p, "E2")])),
            new(
                "LoadElement.Warmed",
                p => (Element(null, "E1") with { TemperatureCoefficientPerKelvin = p.X(4e-4) }).Warmed(p.X(100))
            ),
            new("LoadElement.Scaled", p => Element(null, "E1").Scaled(p.P(1.03))),
            new(
                "LoadSolver.Solve",
                p => LoadSolver.Solve(Bank(), Request(p, new WantedResistance(new Ohms(p.P(0.8))), s_source))
            ),
            new("WantedResistance.ResistanceOn", p => new WantedResistance(new Ohms(p.P(0.8))).ResistanceOn(s_source)),
            new("WantedCurrent.ResistanceOn", p => new WantedCurrent(new Amperes(p.P(28))).ResistanceOn(Droop())),
            new("WantedPower.ResistanceOn", p => new WantedPower(new Watts(p.P(500))).ResistanceOn(Droop())),
            new(
                "SwitchingOrder.Find",
                p =>
                    SwitchingOrder.Find(
                        Bank(),
                        ElementSet.Of([0]),
                        ElementSet.Of([0, 1]),
                        s_source,
                        s_limits with
                        {
                            MostAmperes = new Amperes(p.P(400)),
                        }
                    ),
                r => r is NoSwitchingSequence
            ),
            new("LoadCorrection.Next", Correction),
            new(
                "ElementHealth.Judge",
                p => ElementHealth.Judge(Bank(), ElementSet.Of([0]), p.E(16, 0.01), p.E(10, 0.01))
            ),
        ];

    private static LoadElement Element(Poison? p, string id) =>
        new(id, new Ohms(p?.P(1.6) ?? 1.6))
        {
            Tolerance = p?.N(0.05) ?? 0.05,
            Measured = p?.PositiveE(1.61, 0.01),
            RatedVolts = new Volts(p?.P(100) ?? 100),
            RatedAmperes = new Amperes(p?.P(80) ?? 80),
            RatedWatts = new Watts(p?.P(8000) ?? 8000),
            TemperatureCoefficientPerKelvin = p?.X(4e-4) ?? 4e-4,
        };

    private static LoadBank Bank() => new([Element(null, "E1"), Element(null, "E2")]);

    private static Drooping Droop() => new(new Volts(80), new Ohms(0.16));

    private static LoadRequest Request(Poison p, LoadTarget target, SourceCharacteristic source) =>
        new(target, source, s_limits with { MostAmperes = new Amperes(p.P(400)) })
        {
            Tolerance = new ResistanceTolerance(p.N(0.002), p.N(0.5)),
        };

    private static object Correction(Poison p)
    {
        var request = new LoadRequest(new WantedResistance(new Ohms(0.8)), s_source, s_limits);
        var standing = (LoadFound)LoadSolver.Solve(Bank(), request);
        return LoadCorrection.Next(Bank(), request, standing, p.PositiveE(0.81, 0.001), 0, new(2, p.N(0.05)));
    }
}
