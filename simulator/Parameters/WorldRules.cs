using LoadTest.Simulator.Faults;

namespace LoadTest.Simulator.Parameters;

/// <summary>What a world's values may be; collects every finding.</summary>
internal sealed class WorldRules
{
    private static readonly string[] SensePoints = ["stud volts", "bank volts", "reference shunt", "unit shunt"];

    private readonly List<string> _findings = [];

    public static IReadOnlyList<string> Check(WorldFile world)
    {
        var rules = new WorldRules();
        rules.Number("format", world.Format, 1, 1, "");
        rules.Number("ambientCelsius", world.AmbientCelsius, -40, 60, "°C");
        rules.Engine(world.Engine);
        rules.Electrical(world);
        rules.Control(world.Control);
        rules.Shunt("unitShunt", world.UnitShunt);
        rules.Shunt("referenceShunt", world.ReferenceShunt);
        rules.Bank(world.Bank);
        for (var i = 0; i < world.Meters.Length; i++)
        {
            rules.Meter($"meters[{i}]", world.Meters[i]);
        }

        for (var i = 0; i < (world.Accessories?.Length ?? 0); i++)
        {
            rules.Accessory($"accessories[{i}]", world.Accessories![i]);
        }

        for (var i = 0; i < (world.Loggers?.Length ?? 0); i++)
        {
            rules.Logger($"loggers[{i}]", world.Loggers![i]);
        }

        if (world.Auxiliary is { } auxiliary)
        {
            rules.Auxiliary(auxiliary, world.Bank.ElementOhms.Length);
        }

        if (world.Heat is { } heat)
        {
            rules.Heat(heat);
        }

        rules.Names(world);
        foreach (var (fault, i) in world.Faults.Select((fault, i) => (fault, i)))
        {
            if (FaultCatalogue.Objection(fault.ToFault(), world) is { } objection)
            {
                rules._findings.Add($"faults[{i}]: {objection}");
            }

            rules.Number($"faults[{i}].atSeconds", fault.AtSeconds, 0, 1e6, "s");
        }

        return rules._findings;
    }

    private void Engine(EngineWorld engine)
    {
        Number("engine.ratedRpm", engine.RatedRpm, 100, 10_000, "rpm");
        Number("engine.noLoadRpm", engine.NoLoadRpm, 100, 10_000, "rpm");
        Number("engine.droopRpm", engine.DroopRpm, 0, 1_000, "rpm");
        Number("engine.ratedShaftWatts", engine.RatedShaftWatts, 100, 1e7, "W");
        Number("engine.efficiency", engine.Efficiency, 0.05, 1, "");
        Number("engine.lagSeconds", engine.LagSeconds, 0.01, 60, "s");
        Number("engine.crankSeconds", engine.CrankSeconds, 0, 60, "s");
        Number("engine.coastSeconds", engine.CoastSeconds, 0.01, 60, "s");
        Number("engine.idleRpm", engine.IdleRpm, 100, 10_000, "rpm");
        Number("engine.idleDownSeconds", engine.IdleDownSeconds, 0.1, 600, "s");
        Number("engine.stallWatts", engine.StallWatts, 100, 1e7, "W");
        Number("engine.stallSeconds", engine.StallSeconds, 0.05, 60, "s");
    }

    private void Electrical(WorldFile world)
    {
        Number("alternator.lineVolts", world.Alternator.LineVolts, 5, 1_000, "V");
        Number("alternator.poles", world.Alternator.Poles, 2, 48, "");
        Number("alternator.buildUpSeconds", world.Alternator.BuildUpSeconds, 0.01, 60, "s");
        Number("alternator.buildUpRpm", world.Alternator.BuildUpRpm, 0, 10_000, "rpm");
        Number("alternator.residualField", world.Alternator.ResidualField, 0, 0.2, "");
        Number("rectifier.diodeVolts", world.Rectifier.DiodeVolts, 0, 3, "V");
        Number("rectifier.sourceOhms", world.Rectifier.SourceOhms, 1e-4, 10, "Ω");
        Number("rectifier.rippleCornerHertz", world.Rectifier.RippleCornerHertz, 1, 1e5, "Hz");
        Number("leads.ohms", world.Leads.Ohms, 0, 1, "Ω");
        Number("panel.amperesDigit", world.Panel.AmperesDigit, 1e-3, 100, "A");
        Number("panel.amperesErrorPercent", world.Panel.AmperesErrorPercent, -20, 20, "%");
        Number("panel.voltsDigit", world.Panel.VoltsDigit, 1e-3, 10, "V");
        Number("panel.voltsErrorPercent", world.Panel.VoltsErrorPercent, -20, 20, "%");
    }

    private void Control(ControlWorld control)
    {
        Number("control.minimumAmperes", control.MinimumAmperes, 0.1, 10_000, "A");
        Number("control.maximumAmperes", control.MaximumAmperes, control.MinimumAmperes, 10_000, "A");
        Number("control.amperesPerVolt", control.AmperesPerVolt, 0, 10, "A/V");
        Number("control.minimumVolts", control.MinimumVolts, 0.1, 500, "V");
        Number("control.maximumVolts", control.MaximumVolts, control.MinimumVolts, 500, "V");
        Number("control.slopeOhms", control.SlopeOhms, 0, 1, "Ω");
        Number("control.currentLimitAmperes", control.CurrentLimitAmperes, 1, 10_000, "A");
        Number("control.droopingVolts", control.DroopingVolts, 20.1, 500, "V");
        Number("control.settlingSeconds", control.SettlingSeconds, 0.001, 60, "s");
        if (control.Transient is { } transient)
        {
            Number("control.transient.ohms", transient.Ohms, 0, 1, "Ω");
            Number("control.transient.siemens", transient.Siemens, 0, 100, "S");
            Number("control.transient.seconds", transient.Seconds, 0.001, 60, "s");
        }

        Number("control.gainErrorPercent", control.GainErrorPercent, -20, 20, "%");
        Number("control.offsetPercent", control.OffsetPercent, -20, 20, "%");
        Number("control.handPercent", control.HandPercent, 0, 5, "%");
    }

    private void Shunt(string path, ShuntWorld shunt)
    {
        Number($"{path}.ratedAmperes", shunt.RatedAmperes, 1, 10_000, "A");
        Number($"{path}.ratedMillivolts", shunt.RatedMillivolts, 1, 1_000, "mV");
        Number($"{path}.ratioErrorPercent", shunt.RatioErrorPercent, -50, 50, "%");
        Number($"{path}.relandedRatioErrorPercent", shunt.RelandedRatioErrorPercent ?? 0, -50, 50, "%");
        Number($"{path}.ppmPerKelvin", shunt.PpmPerKelvin, -1_000, 5_000, "ppm/K");
        Number($"{path}.riseKelvin", shunt.RiseKelvin, 0, 300, "K");
        Number($"{path}.thermalSeconds", shunt.ThermalSeconds, 0.1, 1e5, "s");
        Number($"{path}.emfMicrovoltsPerKelvin", shunt.EmfMicrovoltsPerKelvin, -50, 50, "µV/K");
    }

    private void Bank(BankWorld bank)
    {
        OneOf("bank.protocol", bank.Protocol, ["modbus-rtu", "modbus-tcp", "text"]);
        Number("bank.unitId", bank.UnitId, 1, 247, "");
        Number("bank.baud", bank.Baud, 300, 1_000_000, "bit/s");
        Number("bank.bitsPerCharacter", bank.BitsPerCharacter, 8, 12, "bit");
        Number("bank.turnAroundMilliseconds", bank.TurnAroundMilliseconds, 0, 1_000, "ms");
        Number("bank.frameGapMilliseconds", bank.FrameGapMilliseconds, 0.5, 1_000, "ms");
        Number("bank.serialNumber", bank.SerialNumber, 1, uint.MaxValue, "");
        Number("bank.elementOhms (how many)", bank.ElementOhms.Length, 1, 32, "");
        for (var k = 0; k < bank.ElementOhms.Length; k++)
        {
            Number($"bank.elementOhms[{k}]", bank.ElementOhms[k], 1e-3, 1e4, "Ω");
        }

        Number("bank.tolerancePercent", bank.TolerancePercent, 0, 20, "%");
        Number("bank.ratedVolts", bank.RatedVolts, 1, 1_000, "V");
        Number("bank.ppmPerKelvin", bank.PpmPerKelvin, 0, 5_000, "ppm/K");
        Number("bank.riseKelvin", bank.RiseKelvin, 0, 1_000, "K");
        Number("bank.thermalSeconds", bank.ThermalSeconds, 0.1, 1e5, "s");
        Number("bank.closeMilliseconds", bank.CloseMilliseconds, 0, 1_000, "ms");
        Number("bank.openMilliseconds", bank.OpenMilliseconds, 0, 1_000, "ms");
        Number("bank.fanRpm", bank.FanRpm, 1, 65_535, "rpm");
        Number("bank.airFlowSeconds", bank.AirFlowSeconds, 0.01, 60, "s");
        Number("bank.outletRiseKelvin", bank.OutletRiseKelvin, 0, 500, "K");
        Number("bank.outletSeconds", bank.OutletSeconds, 0.1, 1e4, "s");
        Number("bank.overTemperatureCelsius", bank.OverTemperatureCelsius, 30, 800, "°C");
        Number("bank.voltsErrorPercent", bank.VoltsErrorPercent, -20, 20, "%");
        Number("bank.amperesErrorPercent", bank.AmperesErrorPercent, -20, 20, "%");
        Number("bank.noisePercent", bank.NoisePercent, 0, 5, "%");
    }

    private void Meter(string path, MeterWorld meter)
    {
        OneOf($"{path}.senses", meter.Senses, SensePoints);
        if (meter.Identity.Split(',').Length != 4)
        {
            _findings.Add($"{path}.identity: '{meter.Identity}' has to be four fields with commas between.");
        }

        Number($"{path}.rangesVolts (how many)", meter.RangesVolts.Length, 1, 12, "");
        for (var i = 0; i < meter.RangesVolts.Length; i++)
        {
            var above = i == 0 ? 1e-3 : meter.RangesVolts[i - 1] * 1.5;
            Number($"{path}.rangesVolts[{i}]", meter.RangesVolts[i], above, 2_000, "V");
        }

        Number($"{path}.counts", meter.Counts, 1_000, 100_000_000, "");
        Number($"{path}.gainErrorPpm", meter.GainErrorPpm, -1e5, 1e5, "ppm");
        Number($"{path}.offsetPpm", meter.OffsetPpm, -1e5, 1e5, "ppm");
        Number($"{path}.noisePpm", meter.NoisePpm, 0, 1e5, "ppm");
        Number($"{path}.warmUpPpm", meter.WarmUpPpm, -1e5, 1e5, "ppm");
        Number($"{path}.warmUpSeconds", meter.WarmUpSeconds, 1, 1e5, "s");
        Number($"{path}.lineHertz", meter.LineHertz, 45, 440, "Hz");
        Number($"{path}.readingsPerSecond", meter.ReadingsPerSecond, 0.1, 10_000, "1/s");
        Number($"{path}.turnAroundMilliseconds", meter.TurnAroundMilliseconds, 0, 1_000, "ms");
    }

    private void Auxiliary(AuxiliaryWorld output, int elements)
    {
        Number("auxiliary.volts", output.Volts, 10, 1_000, "V");
        Number("auxiliary.sourceOhms", output.SourceOhms, 0, 100, "Ω");
        Number("auxiliary.efficiency", output.Efficiency, 0.05, 1, "");
        Number("auxiliary.tolerancePercent", output.TolerancePercent, 0, 20, "%");
        Number("auxiliary.elementOhms (how many)", output.ElementOhms.Length, 1, 32 - elements, "");
        for (var k = 0; k < output.ElementOhms.Length; k++)
        {
            Number($"auxiliary.elementOhms[{k}]", output.ElementOhms[k], 0.1, 1e5, "Ω");
        }
    }

    private void Heat(HeatWorld heat)
    {
        Number("heat.ratedAmperes", heat.RatedAmperes, 1, 10_000, "A");
        Number("heat.windingRiseKelvin", heat.WindingRiseKelvin, 0, 500, "K");
        Number("heat.windingSeconds", heat.WindingSeconds, 1, 1e5, "s");
        Number("heat.stillSeconds", heat.StillSeconds, 1, 1e6, "s");
        Number("heat.lugRiseKelvin", heat.LugRiseKelvin, 0, 500, "K");
        Number("heat.lugSeconds", heat.LugSeconds, 1, 1e5, "s");
    }

    private void Logger(string path, LoggerWorld logger)
    {
        Number($"{path}.unitId", logger.UnitId, 1, 247, "");
        Number($"{path}.serialNumber", logger.SerialNumber, 1, uint.MaxValue, "");
        Number($"{path}.turnAroundMilliseconds", logger.TurnAroundMilliseconds, 0, 1_000, "ms");
        Number($"{path}.channels (how many)", logger.Channels.Length, 1, 16, "");
        for (var k = 0; k < logger.Channels.Length; k++)
        {
            OneOf($"{path}.channels[{k}].senses", logger.Channels[k].Senses, Banks.LoggerMap.Senses);
            Number($"{path}.channels[{k}].errorPercent", logger.Channels[k].ErrorPercent, -20, 20, "%");
            Number($"{path}.channels[{k}].offset", logger.Channels[k].Offset, -100, 100, "");
            Number($"{path}.channels[{k}].noise", logger.Channels[k].Noise, 0, 100, "");
        }
    }

    private void Accessory(string path, AccessoryWorld one)
    {
        OneOf($"{path}.kind", one.Kind, Accessories.AccessoryDevices.Kinds);
        Number($"{path}.unitId", one.UnitId, 1, 247, "");
        Number($"{path}.serialNumber", one.SerialNumber, 1, uint.MaxValue, "");
        Number($"{path}.turnAroundMilliseconds", one.TurnAroundMilliseconds, 0, 1_000, "ms");
    }

    private void Names(WorldFile world)
    {
        var names = world
            .Meters.Select(meter => meter.Name)
            .Concat((world.Loggers ?? []).Select(logger => logger.Name))
            .Concat((world.Accessories ?? []).Select(one => one.Name))
            .Append(world.Bank.Name)
            .Append(Panel.HandsDevice.DeviceName);
        foreach (var group in names.GroupBy(name => name, StringComparer.Ordinal).Where(group => group.Count() > 1))
        {
            _findings.Add($"'{group.Key}' names {group.Count()} devices; every device needs a name of its own.");
        }
    }

    private void Number(string path, double value, double lowest, double highest, string unit)
    {
        if (!(value >= lowest && value <= highest))
        {
            var space = unit.Length == 0 ? "" : " ";
            _findings.Add($"{path} is {value}{space}{unit}; allowed is {lowest} to {highest}{space}{unit}.");
        }
    }

    private void OneOf(string path, string value, string[] allowed)
    {
        if (!allowed.Contains(value, StringComparer.Ordinal))
        {
            _findings.Add($"{path} is '{value}'; allowed is {string.Join(", ", allowed)}.");
        }
    }
}
