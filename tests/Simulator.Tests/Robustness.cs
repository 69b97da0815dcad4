using CsCheck;
using LoadTest.Simulator;
using LoadTest.Simulator.Faults;
using LoadTest.Simulator.Parameters;

namespace LoadTest.SimulatorTests;

/// <summary>Nothing on a wire and no order of hands breaks the bench or the laws it obeys.</summary>
public class Robustness
{
    private static readonly Gen<byte[]> Portion = Gen.Byte.Array[0, 300];

    private static readonly string[] Words =
        "VOLT : RANG ? READ 1E4 \" , ; *IDN *STB FETC INIT - é NPLC CONF 1E400 MIN AUTO 0.1 mV #15abc ( MEAS".Split(
            ' '
        );

    private static readonly Gen<string> NearlyScpi = Gen.Int[0, Words.Length + 1]
        .Array[1, 30]
        .Select(picks =>
            string.Concat(
                picks.Select(pick =>
                    pick < Words.Length ? Words[pick]
                    : pick == Words.Length ? " "
                    : "\n"
                )
            )
        );

    [Fact]
    public void Any_bytes_leave_every_device_answering()
    {
        Gen.Select(Portion, Gen.Bool)
            .Sample(
                (bytes, tcp) =>
                {
                    var world = tcp ? WorldFile.Demo().WithBankProtocol("modbus-tcp") : WorldFile.Demo();
                    using var rig = new Rig(world);
                    foreach (var device in rig.Bench.Devices)
                    {
                        device.Receive(bytes);
                    }

                    rig.Time.Pass(30);
                    foreach (var device in rig.Bench.Devices)
                    {
                        device.Connected();
                    }

                    return rig.Ask("dmm-1", "*IDN?").EndsWith("1.0", StringComparison.Ordinal)
                        && rig.Ask("hands", "secret " + Rig.Secret) == "ok"
                        && rig.Exchange(
                            "bank-1",
                            tcp ? Rig.Hex("00 01 00 00 00 06 01 01 00 00 00 08") : Rig.Rtu(1, Rig.Hex("01 00 00 00 08"))
                        ).Length > 0;
                },
                iter: 300
            );
    }

    [Fact]
    public void Well_framed_requests_of_any_content_get_at_most_one_well_framed_answer()
    {
        Gen.Select(Gen.Byte[1, 127], Gen.Byte.Array[0, 20])
            .Sample(
                (function, data) =>
                {
                    // Where the length does not fit the function, silence or an exception; and the next is understood.
                    using var rig = new Rig();
                    var answer = rig.Exchange("bank-1", Rig.Rtu(1, [function, .. data]));
                    var good = answer.Length == 0 || answer.SequenceEqual(Rig.Rtu(1, answer[1..^2]));
                    return good && rig.Bank("04 00 00 00 01").SequenceEqual(Rig.Hex("04 02 4C 54"));
                },
                iter: 500
            );
    }

    [Fact]
    public void Nearly_right_messages_leave_the_meter_answering()
    {
        NearlyScpi.Sample(
            text =>
            {
                using var rig = new Rig();
                rig.Exchange("dmm-1", System.Text.Encoding.UTF8.GetBytes(text + "\n"), 20);
                return rig.Ask("dmm-1", "*CLS;*IDN?") == "SIMULATED BENCH,METER,SM-1001,1.0"
                    && rig.Ask("dmm-1", "SYST:ERR?") == "0,\"No error\"";
            },
            iter: 500
        );
    }

    [Fact]
    public void Circuit_laws_hold_after_any_order_of_hands_elements_and_faults()
    {
        var faults = new[]
        {
            "feedback-lead-open",
            "diode-open",
            "phase-lost",
            "loose-lug",
            "engine-stall",
            "source-overvoltage",
        };
        Gen.Select(Gen.Int[0, 11], Gen.Byte, Gen.Double[0, 1])
            .Array[1, 25]
            .Sample(
                steps =>
                {
                    using var rig = new Rig();
                    rig.RunUp();
                    foreach (var (kind, elements, share) in steps)
                    {
                        Act(rig, kind, elements, share, faults);
                        rig.Time.Pass(share);
                        ObeysCircuitLaws(rig.Bench);
                    }
                },
                iter: 200
            );
    }

    private static void Act(Rig rig, int kind, byte elements, double share, string[] faults)
    {
        var source = rig.Bench.Source;
        switch (kind)
        {
            case <= 3:
                rig.Bank($"0F 00 00 00 08 01 {elements:X2}");
                break;
            case 4:
                source.SetControl(30 + share * 270, "A");
                break;
            case 5:
                source.SetOutput(on: elements % 3 != 0);
                break;
            case 6:
                source.SetMode((SourceMode)(elements % 3));
                break;
            case 7:
                source.SetControl(14 + share * 21, "V");
                break;
            case 8:
                rig.Bench.ClearFaults();
                source.StartEngine();
                break;
            case 9:
                source.SetIdleDown(on: elements > 127);
                break;
            default:
                rig.Bench.Inject(new Fault(faults[elements % faults.Length]));
                break;
        }
    }

    private static void ObeysCircuitLaws(SimulatedBench bench)
    {
        var truth = bench.Truth;
        Assert.True(truth.Amperes >= 0 && double.IsFinite(truth.Amperes));
        Assert.True(truth.StudVolts >= truth.BankVolts - 1e-9);
        Assert.InRange(truth.StudVolts, 0, 1.35048 * 53.6 * 1.3 * 1850 / 1800);
        if (truth.Conductance > 0)
        {
            Assert.Equal(truth.BankVolts * truth.Conductance, truth.Amperes, 1e-6);
        }
        else
        {
            Assert.Equal(0, truth.Amperes);
        }
    }
}
