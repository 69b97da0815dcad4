namespace LoadTest.Simulator.Parameters;

/// <summary>A shunt: its nameplate and how it departs from it.</summary>
public sealed record ShuntWorld
{
    /// <summary>Rated current, A.</summary>
    public required double RatedAmperes { get; init; }

    /// <summary>Drop at rated current, mV.</summary>
    public required double RatedMillivolts { get; init; }

    /// <summary>True ratio over rated ratio minus one, %, at 20 °C.</summary>
    public required double RatioErrorPercent { get; init; }

    /// <summary>The same after a person has landed the sense lead where it belongs, %.</summary>
    public double? RelandedRatioErrorPercent { get; init; }

    /// <summary>Temperature coefficient of the ratio, 10⁻⁶/K.</summary>
    public required double PpmPerKelvin { get; init; }

    /// <summary>Rise of the shunt above ambient at rated current, K.</summary>
    public required double RiseKelvin { get; init; }

    /// <summary>Thermal time constant, s.</summary>
    public required double ThermalSeconds { get; init; }

    /// <summary>Thermal voltage in the sense circuit per kelvin of rise, µV/K.</summary>
    public required double EmfMicrovoltsPerKelvin { get; init; }
}

/// <summary>Leads from the studs to the bank, out and back.</summary>
public sealed record LeadsWorld
{
    /// <summary>Resistance of both leads with their lugs, Ω.</summary>
    public required double Ohms { get; init; }
}

/// <summary>The switched load bank and its controller.</summary>
public sealed record BankWorld
{
    /// <summary>Name of the device.</summary>
    public required string Name { get; init; }

    /// <summary>"modbus-rtu" or "modbus-tcp".</summary>
    public required string Protocol { get; init; }

    /// <summary>Unit identifier, 1 to 247.</summary>
    public required int UnitId { get; init; }

    /// <summary>Speed of the serial line, bit/s; used for timing with RTU framing.</summary>
    public required int Baud { get; init; }

    /// <summary>Bits a character takes, start, parity and stop included.</summary>
    public required int BitsPerCharacter { get; init; }

    /// <summary>Time between the end of a request and the start of the answer, ms.</summary>
    public required double TurnAroundMilliseconds { get; init; }

    /// <summary>A longer pause inside a request discards it (RTU), ms.</summary>
    public required double FrameGapMilliseconds { get; init; }

    /// <summary>Serial number its register gives.</summary>
    public required long SerialNumber { get; init; }

    /// <summary>Nominal resistance of each element, Ω, element 0 first; 1 to 32 elements.</summary>
    public required double[] ElementOhms { get; init; }

    /// <summary>Elements lie within ± this of nominal, %, drawn from the seed.</summary>
    public required double TolerancePercent { get; init; }

    /// <summary>Continuous DC rating of an element, V.</summary>
    public required double RatedVolts { get; init; }

    /// <summary>Temperature coefficient of the elements, 10⁻⁶/K.</summary>
    public required double PpmPerKelvin { get; init; }

    /// <summary>Rise of an element at its rating with full air flow, K.</summary>
    public required double RiseKelvin { get; init; }

    /// <summary>Thermal time constant of an element, s.</summary>
    public required double ThermalSeconds { get; init; }

    /// <summary>Contactor closing time, ms.</summary>
    public required double CloseMilliseconds { get; init; }

    /// <summary>Contactor opening time, ms.</summary>
    public required double OpenMilliseconds { get; init; }

    /// <summary>Fan speed when running, rpm.</summary>
    public required double FanRpm { get; init; }

    /// <summary>Time constant of the fan and its air flow, s.</summary>
    public required double AirFlowSeconds { get; init; }

    /// <summary>Rise of the outlet air with every element at its rating, K.</summary>
    public required double OutletRiseKelvin { get; init; }

    /// <summary>Time constant of the outlet temperature, s.</summary>
    public required double OutletSeconds { get; init; }

    /// <summary>Outlet temperature at which the bank opens its contactors, °C.</summary>
    public required double OverTemperatureCelsius { get; init; }

    /// <summary>Error of the bank's own voltmeter, % of reading.</summary>
    public required double VoltsErrorPercent { get; init; }

    /// <summary>Error of the bank's own ammeter, % of reading.</summary>
    public required double AmperesErrorPercent { get; init; }

    /// <summary>Noise of both, standard deviation, % of reading plus as much of 1 V or 1 A.</summary>
    public required double NoisePercent { get; init; }
}

/// <summary>A digital multimeter.</summary>
public sealed record MeterWorld
{
    /// <summary>Name of the device.</summary>
    public required string Name { get; init; }

    /// <summary>"stud volts", "bank volts", "reference shunt" or "unit shunt".</summary>
    public required string Senses { get; init; }

    /// <summary>Four fields of *IDN?: maker, model, serial number, firmware.</summary>
    public required string Identity { get; init; }

    /// <summary>Ranges, V, ascending.</summary>
    public required double[] RangesVolts { get; init; }

    /// <summary>Counts at the top of a range with an aperture of one power-line cycle or more.</summary>
    public required int Counts { get; init; }

    /// <summary>Gain error when warm, 10⁻⁶ of reading.</summary>
    public required double GainErrorPpm { get; init; }

    /// <summary>Offset, 10⁻⁶ of range.</summary>
    public required double OffsetPpm { get; init; }

    /// <summary>Largest departure from a straight line, in the middle of a range, 10⁻⁶ of range, signed; none at zero and at full range.</summary>
    public double LinearityPpm { get; init; }

    /// <summary>Noise at one power-line cycle, standard deviation, 10⁻⁶ of range.</summary>
    public required double NoisePpm { get; init; }

    /// <summary>Further gain error at power-up, 10⁻⁶ of reading, dying away as the meter warms.</summary>
    public required double WarmUpPpm { get; init; }

    /// <summary>Time constant of that warming, s.</summary>
    public required double WarmUpSeconds { get; init; }

    /// <summary>Power-line frequency, Hz: what a cycle of aperture lasts.</summary>
    public required double LineHertz { get; init; }

    /// <summary>Most readings it gives in a second.</summary>
    public required double ReadingsPerSecond { get; init; }

    /// <summary>Time between the end of a message or reading and the answer, ms.</summary>
    public required double TurnAroundMilliseconds { get; init; }
}

/// <summary>The unit's panel meters, both on its own shunt and studs.</summary>
public sealed record PanelWorld
{
    /// <summary>What one digit of the ammeter is worth, A.</summary>
    public required double AmperesDigit { get; init; }

    /// <summary>Error of the ammeter, % of reading.</summary>
    public required double AmperesErrorPercent { get; init; }

    /// <summary>What one digit of the voltmeter is worth, V.</summary>
    public required double VoltsDigit { get; init; }

    /// <summary>Error of the voltmeter, % of reading.</summary>
    public required double VoltsErrorPercent { get; init; }
}
