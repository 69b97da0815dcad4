using System.Collections.Immutable;
using LoadTest.Analysis.Quantities;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.SequencerTests;

/// <summary>Values a test does not care about, of one invented unit, bench and profile.</summary>
internal static class Some
{
    public static readonly Place Here = new("some.yaml", 1, 1);

    public static UnitMode ConstantCurrent() =>
        new(
            "constant current",
            Characteristic.ConstantCurrent,
            LoadLineName.CoveredElectrode,
            new Volts(32),
            new Amperes(300),
            0.6,
            new Quantity(30, Unit.Ampere),
            new Quantity(300, Unit.Ampere),
            new Amperes(30),
            new Volts(65),
            new Volts(79),
            new Amperes(600),
            0.05,
            Here
        );

    public static UnitMode ConstantVoltage() =>
        ConstantCurrent() with
        {
            Name = "constant voltage",
            Characteristic = Characteristic.ConstantVoltage,
            LoadLine = LoadLineName.MigMag,
            RatedVolts = new Volts(29),
            MinimumSetting = new Quantity(16, Unit.Volt),
            MaximumSetting = new Quantity(29, Unit.Volt),
        };

    public static UnitMode Drooping() =>
        ConstantCurrent() with
        {
            Name = "drooping",
            Characteristic = Characteristic.Drooping,
        };

    public static Nameplate Nameplate(params UnitMode[] modes) =>
        new(
            "Invented 300",
            "dc welding generator",
            "U-1",
            modes.Length == 0 ? [ConstantCurrent(), ConstantVoltage()] : [.. modes],
            new UnitShunt(new Amperes(500), new Volts(0.06), 0.5, Here),
            new EngineRating(1800, 1890, null, null, null, Here),
            null,
            Here
        );

    public static readonly double[] ElementOhms = [8, 4, 2, 1, 0.5, 0.25, 0.25, 0.25];

    /// <summary>Continuous volts: the high resistances stand the open-circuit voltage, the low ones what a load line needs.</summary>
    public static readonly double[] ElementVolts = [80, 80, 80, 80, 45, 45, 45, 45];

    public static Bench Bench() =>
        new(
            "Invented bench",
            null,
            "demo.json",
            new Bank(
                "bank-1",
                [
                    .. ElementOhms.Select(
                        (ohms, k) =>
                            new BankElement(
                                new Ohms(ohms),
                                0.01,
                                new Volts(ElementVolts[k]),
                                new Volts(85),
                                TimeSpan.FromSeconds(4),
                                0.0001,
                                Here
                            )
                    ),
                ],
                new Amperes(350),
                new Volts(100),
                new Watts(20_000),
                TimeSpan.FromMinutes(3),
                Here
            ),
            [Instrument("bank-1", BankDefinition()), .. Meters()],
            Channels(),
            ReferenceShunt(),
            new Leads(new Ohms(0.002), new Amperes(300), new Amperes(350), 0.6, Here),
            Here
        );

    public static CertifiedShunt ReferenceShunt() =>
        new(
            "RS-1",
            new Amperes(500),
            new Volts(0.05),
            0.1,
            0.667,
            0.00002,
            40,
            new Volts(0.000002),
            new Certificate(
                "C-1",
                "Invented laboratory",
                new DateOnly(2026, 3, 1),
                new DateOnly(2027, 3, 1),
                [
                    new CertificatePoint(
                        null,
                        new Quantity(300, Unit.Ampere),
                        new Quantity(0.0001, Unit.Fraction),
                        new Quantity(0.0004, Unit.Fraction),
                        2
                    ),
                ],
                Here
            ),
            Here
        );

    /// <summary>The bench with a hand meter beside it: ± (0.9 % of reading + 2 counts of 0.1 Ω), and a volts range.</summary>
    public static Bench WithHandMeter(Bench bench, Certificate? certificate = null) =>
        bench with
        {
            Instruments =
            [
                .. bench.Instruments,
                new BenchInstrument(
                    "hand-1",
                    "instruments/hand-1.yaml",
                    HandMeterDefinition(),
                    new LineText.Person("hand-1"),
                    "SN-hand-1",
                    certificate ?? MeterCertificate("M-4"),
                    Here
                ),
            ],
        };

    private static InstrumentDefinition HandMeterDefinition()
    {
        static InputDefinition By(string name, Unit unit, double range) =>
            new(
                name,
                unit,
                TimeSpan.FromSeconds(1),
                range,
                0.1,
                new AccuracySpecification(0.009, 0, 2, 0, 5, 40, TimeSpan.Zero),
                null,
                null,
                Here
            )
            {
                PersonReads = $"{name} on its {range} range",
            };

        return new(
            "invented hand meter",
            Protocol.ByHand,
            TimeSpan.Zero,
            TimeSpan.Zero,
            0,
            new IdentityCheck.Person("the back"),
            [By("ohms", Unit.Ohm, 600), By("volts", Unit.Volt, 600), By("more volts", Unit.Volt, 1000)],
            null,
            Here
        );
    }

    public static BenchInstrument Instrument(
        string id,
        InstrumentDefinition definition,
        Certificate? certificate = null
    ) => new(id, $"instruments/{id}.yaml", definition, new LineText.Simulated(id), $"SN-{id}", certificate, Here);

    public static InstrumentDefinition BankDefinition() =>
        new(
            "invented bank",
            Protocol.ModbusRtu,
            TimeSpan.FromMilliseconds(150),
            TimeSpan.FromMilliseconds(5),
            1,
            new IdentityCheck.KnownRegister(Register(0), 19540, Register(4)),
            [
                Input("volts", Unit.Volt, 100, 0.01, 0.01, TimeSpan.FromMilliseconds(20)),
                Input("amperes", Unit.Ampere, 1000, 0.01, 0.1, TimeSpan.FromMilliseconds(20)),
            ],
            new BankSwitching(
                0,
                8,
                0,
                8,
                null,
                null,
                null,
                TimeSpan.FromMilliseconds(40),
                TimeSpan.FromMilliseconds(40),
                Register(0),
                2
            ),
            Here
        );

    public static Certificate MeterCertificate(string number) =>
        new(number, "Invented laboratory", new DateOnly(2026, 3, 1), new DateOnly(2027, 3, 1), [], Here);

    public static InputDefinition Input(
        string name,
        Unit unit,
        double range,
        double ofReading,
        double resolution,
        TimeSpan aperture
    ) =>
        new(
            name,
            unit,
            aperture,
            range,
            resolution,
            new AccuracySpecification(ofReading, 0.00002, 0, 0, 18, 28, TimeSpan.FromMinutes(30)),
            null,
            null,
            Here
        );

    private static InstrumentDefinition Meter(double range) =>
        new(
            "invented meter",
            Protocol.Scpi,
            TimeSpan.FromMilliseconds(400),
            TimeSpan.Zero,
            0,
            new IdentityCheck.IdentificationQuery("INVENTED", "METER"),
            [Input("volts", Unit.Volt, range, 0.00005, range * 1e-6, TimeSpan.FromMilliseconds(20))],
            null,
            Here
        );

    private static IEnumerable<BenchInstrument> Meters() =>
        [
            Instrument("dmm-1", Meter(100), MeterCertificate("M-1")),
            Instrument("dmm-2", Meter(0.1), MeterCertificate("M-2")),
            Instrument("dmm-3", Meter(0.1), MeterCertificate("M-3")),
        ];

    private static ImmutableArray<Channel> Channels()
    {
        static Channel Of(string name, ChannelRole role, string instrument, string input, bool isFast) =>
            new(name, role, instrument, input, isFast, "somewhere", TimeSpan.FromMilliseconds(500), Here);
        return
        [
            Of("bank volts", ChannelRole.BankVolts, "bank-1", "volts", isFast: true),
            Of("bank amperes", ChannelRole.BankAmperes, "bank-1", "amperes", isFast: true),
            Of("stud volts", ChannelRole.StudVolts, "dmm-1", "volts", isFast: false),
            Of("reference drop", ChannelRole.ReferenceShuntDrop, "dmm-2", "volts", isFast: false),
            Of("unit drop", ChannelRole.UnitShuntDrop, "dmm-3", "volts", isFast: false),
        ];
    }

    private static RegisterText Register(int address) =>
        new(RegisterTable.InputRegister, address, RegisterForm.Unsigned16, false, 1);

    public static Amount Percent(double percent, BaseName of) => new(percent / 100, Unit.Fraction, of, Here);

    public static Amount Of(double value, Unit unit) => new(value, unit, null, Here);

    public static Limit PlusMinusPercent(BaseName nominal, double percent) =>
        new(
            LimitForm.PlusMinus,
            new Amount(1, Unit.Fraction, nominal, Here),
            new Amount(percent / 100, Unit.Fraction, null, Here),
            $"nominal ± {percent} %",
            Here
        );

    public static Expectation RatioWithin(double percent) =>
        new(Measurand.ShuntRatio, PlusMinusPercent(BaseName.RatedRatio, percent));

    public static LoadProfile Profile(params ProfileStep[] steps) =>
        new(
            "Some profile",
            1,
            "dc welding generator",
            20,
            new SettleRule(0.003, new Volts(0), new Amperes(0), TimeSpan.FromSeconds(4), TimeSpan.FromSeconds(60)),
            [
                new TripRule(Measurand.OutputCurrent, Percent(115, BaseName.RatedCurrent), null, Here),
                new TripRule(Measurand.OutputVoltage, Of(95, Unit.Volt), null, Here),
            ],
            new DecisionText(DecisionForm.GuardBand, 1, 0.95),
            [.. steps],
            ImmutableDictionary<string, ImmutableArray<ProfileStep>>.Empty,
            Here
        );

    public static EnergiseStep Energise(string mode = "constant current") => new(mode, Here);

    public static CoolDownStep CoolDown() => new(null, Here);

    public static ShuntSweepStep Sweep(params Expectation[] expect) =>
        new(
            null,
            [.. new[] { 25, 50, 75, 100 }.Select(p => Percent(p, BaseName.RatedCurrent))],
            BothWays: true,
            ReadPanel: false,
            [.. expect],
            Here
        );

    public static CurveStep Curve(double percentOfRated, int points = 9) =>
        new(null, Percent(percentOfRated, BaseName.RatedCurrent), points, [], Here);

    public static LoadLineStep LoadLine() => new(null, [], BothWays: true, ReadPanel: true, [], Here);
}
