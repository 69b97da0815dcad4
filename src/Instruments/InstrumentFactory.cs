using LoadTest.Instruments.Line;
using LoadTest.Instruments.Loads;
using LoadTest.Instruments.Meters;
using LoadTest.Instruments.Modbus;
using LoadTest.Instruments.Scpi;
using LoadTest.Sequencer.Benches;

namespace LoadTest.Instruments;

/// <summary>Puts an instrument of a bench file on a line, by what its definition says it speaks.</summary>
public static class InstrumentFactory
{
    /// <summary>Connects an instrument that has the line to itself.</summary>
    /// <param name="instrument">The instrument, with its definition.</param>
    /// <param name="bank">The load bank it switches; null for a meter.</param>
    /// <param name="line">The line; its callbacks are taken over.</param>
    /// <param name="time">The pump.</param>
    /// <exception cref="ArgumentException">The definition does not hold what its protocol needs, or its elements are not the bank's.</exception>
    public static ConnectedInstrument Create(BenchInstrument instrument, Bank? bank, ILine line, TimeProvider time)
    {
        ArgumentNullException.ThrowIfNull(instrument);
        ArgumentNullException.ThrowIfNull(line);
        ArgumentNullException.ThrowIfNull(time);
        var definition = instrument.Definition;
        if (definition.Deadline <= TimeSpan.Zero)
            throw new ArgumentException(
                $"Definition {definition.Name} has no deadline above zero.",
                nameof(instrument)
            );
        return definition.Protocol == Protocol.Scpi
            ? Scpi(instrument, bank, line, time)
            : Modbus(instrument, bank, line, time);
    }

    private static ConnectedInstrument Scpi(BenchInstrument instrument, Bank? bank, ILine line, TimeProvider time)
    {
        var definition = instrument.Definition;
        if (bank is not null)
            throw new ArgumentException(
                $"Definition {definition.Name} speaks SCPI; a load bank is switched by Modbus here.",
                nameof(bank)
            );
        var exchange = new Exchange(line, time, ScpiSession.Rules(definition.TurnAround, definition.Deadline));
        var session = new ScpiSession(exchange, definition.Deadline, time);
        return new ConnectedInstrument(new ScpiMeter(instrument, session, time), null, exchange.Counters);
    }

    private static ConnectedInstrument Modbus(BenchInstrument instrument, Bank? bank, ILine line, TimeProvider time)
    {
        var definition = instrument.Definition;
        IModbusFraming framing = definition.Protocol == Protocol.ModbusTcp ? TcpFrame.Instance : RtuFrame.Instance;
        if (definition.UnitIdentifier is < 1 or > 247)
            throw new ArgumentException(
                $"Definition {definition.Name} has unit identifier {definition.UnitIdentifier}; 1 to 247 are allowed.",
                nameof(instrument)
            );
        var exchange = new Exchange(line, time, framing.Rules(definition.TurnAround, definition.Deadline));
        var client = new ModbusClient(exchange, framing, (byte)definition.UnitIdentifier, definition.Deadline, time);
        if (bank is null)
            return new ConnectedInstrument(new ModbusMeter(instrument, client, time), null, exchange.Counters);
        var load = new ModbusBank(instrument, bank, client, time);
        return new ConnectedInstrument(load, load, exchange.Counters);
    }
}
