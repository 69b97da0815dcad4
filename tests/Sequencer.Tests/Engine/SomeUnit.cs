using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;

namespace LoadTest.SequencerTests.Engine;

/// <summary>An invented unit on an invented bank: what hands and commands make of volts and amperes, and nothing else.</summary>
internal sealed class SomeUnit(RunPlan plan)
{
    private const double OpenVolts = 72;

    public RunPlan Plan => plan;

    public bool IsEngineRunning { get; set; }

    public bool IsOutputOn { get; set; }

    public UnitMode? Mode { get; private set; }

    public double Setting { get; private set; }

    public ElementSet Coils { get; set; }

    public ElementSet Contacts { get; set; }

    /// <summary>Elements whose contacts never open.</summary>
    public ElementSet Welded { get; set; }

    /// <summary>Elements whose contacts never close.</summary>
    public ElementSet Dead { get; set; }

    public LoadStates States() =>
        new(CommandOutcome.Ok, "", Coils, Contacts, HasAirFlow: true, IsOverTemperature: false, IsStopHealthy: true, 0);

    public void Write(ElementSet elements)
    {
        Coils = elements;
        Contacts = elements.Except(Dead).Union(Contacts.Intersect(Welded));
    }

    public void Do(Question question)
    {
        switch (question.Action)
        {
            case HandAction.StartEngine:
                IsEngineRunning = true;
                break;
            case HandAction.StopEngine:
                IsEngineRunning = IsOutputOn = false;
                break;
            case HandAction.EnableOutput:
                IsOutputOn = true;
                break;
            case HandAction.DisableOutput:
                IsOutputOn = false;
                break;
            case HandAction.SelectMode:
                Mode = Plan.Nameplate.Modes.Single(m => m.Name == question.Mode);
                break;
            case HandAction.SetControl:
                Setting = question.Setting!.Value.Value;
                break;
        }
    }

    /// <summary>Any temperature, °C.</summary>
    public Func<ChannelRole, double> Celsius { get; set; } = _ => 25;

    /// <summary>What a channel of this role would read; the count of scans makes it stir a little, as meters do.</summary>
    public double True(ChannelRole role, int scans)
    {
        var (stud, bank, amperes) = Circuit();
        var dither = 1 + 2e-6 * (scans % 3 - 1);
        return dither
            * role switch
            {
                ChannelRole.BankVolts => bank,
                ChannelRole.BankAmperes => amperes,
                ChannelRole.StudVolts => stud,
                ChannelRole.ReferenceShuntDrop => amperes
                    * Plan.Bench.ReferenceShunt.RatedVolts.Value
                    / Plan.Bench.ReferenceShunt.RatedAmperes.Value,
                ChannelRole.UnitShuntDrop => amperes * Plan.Nameplate.Shunt.RatedRatio,
                ChannelRole.AuxiliaryVolts => AuxiliaryVolts,
                ChannelRole.AuxiliaryFrequency => IsEngineRunning ? Plan.Nameplate.Auxiliary!.Hertz : 0,
                ChannelRole.AuxiliaryAmperes => AuxiliaryVolts * AuxiliarySiemens,
                ChannelRole.AuxiliaryPower => AuxiliaryVolts * AuxiliaryVolts * AuxiliarySiemens,
                _ => Celsius(role),
            };
    }

    private ElementSet Weld => Contacts.Intersect(ElementSet.First(Plan.Bench.Bank.Elements.Length));

    private double AuxiliaryVolts => IsEngineRunning ? Plan.Nameplate.Auxiliary!.Volts.Value : 0;

    private double AuxiliarySiemens =>
        Contacts
            .Except(Weld)
            .Indices()
            .Sum(k => 1 / Plan.Bench.AuxiliaryBank!.Elements[k - Plan.Bench.Bank.Elements.Length].Resistance.Value);

    private (double Stud, double Bank, double Amperes) Circuit()
    {
        if (!IsEngineRunning || !IsOutputOn)
            return (0, 0, 0);
        var mode = Mode ?? Plan.Nameplate.Modes[0];
        var setsVolts = mode.Characteristic == Characteristic.ConstantVoltage;
        if (Weld.IsEmpty)
            return setsVolts ? (Setting, Setting, 0) : (OpenVolts, OpenVolts, 0);
        var bank = 1 / Weld.Indices().Sum(k => 1 / Plan.Bench.Bank.Elements[k].Resistance.Value);
        var shunt = Plan.Bench.ReferenceShunt.RatedVolts.Value / Plan.Bench.ReferenceShunt.RatedAmperes.Value;
        var total = bank + Plan.Bench.Leads.Resistance.Value + shunt;
        var most = OpenVolts / (total + OpenVolts / mode.CeilingAmperes.Value);
        var wanted = mode.Characteristic switch
        {
            Characteristic.ConstantCurrent => Setting,
            Characteristic.ConstantVoltage => Setting / total,
            // Straight from open circuit through the setting on the conventional line 20 V + 0.04 V/A.
            _ => OpenVolts / (total + (OpenVolts - 20 - 0.04 * Setting) / Setting),
        };
        var amperes = Math.Min(wanted, most);
        return (amperes * total, amperes * bank, amperes);
    }
}
