using LoadTest.Instruments.Devices;
using LoadTest.Instruments.Line;
using LoadTest.Instruments.Loads;
using LoadTest.Instruments.Meters;
using LoadTest.Instruments.Modbus;
using LoadTest.Instruments.Scpi;
using LoadTest.Instruments.Text;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Instruments;

/// <summary>Puts an instrument of a bench file on a line, by what its definition says it speaks.</summary>
public static class InstrumentFactory
{
    /// <summary>Connects an instrument that has the line to itself.</summary>
    /// <param name="instrument">The instrument, with its definition.</param>
    /// <param name="bank">The bench's load bank when this instrument switches it; null otherwise.</param>
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
        var elements = bank is null ? 0 : bank.Elements.Length + bank.AuxiliaryElements;
        if (bank is not null && elements != definition.Switching?.ElementCount)
            throw new ArgumentException(
                $"The bank has {elements} elements, its definition switches {definition.Switching?.ElementCount ?? 0}.",
                nameof(bank)
            );
        return definition.Protocol switch
        {
            Protocol.Scpi => Scpi(instrument, line, time),
            Protocol.Text => Text(instrument, line, time),
            Protocol.ByHand => throw new ArgumentException(
                $"{instrument.Id} is read by a person and has no line.",
                nameof(instrument)
            ),
            _ => Modbus(instrument, line, time),
        };
    }

    private static ConnectedInstrument Text(BenchInstrument instrument, ILine line, TimeProvider time)
    {
        var definition = instrument.Definition;
        var framing =
            definition.Framing
            ?? throw new ArgumentException(
                $"Definition {definition.Name} does not say how its lines are framed.",
                nameof(instrument)
            );
        var exchange = new Exchange(line, time, TextSession.Rules(definition.TurnAround, definition.Deadline));
        var session = new TextSession(exchange, framing, definition.Deadline, definition.MayRepeat, time);
        if (definition.Switching is null)
        {
            var meter = new TextMeter(instrument, session, time);
            return Connected(meter, null, exchange, meter.Parts);
        }
        var load = new TextBank(instrument, session, time);
        return Connected(load, load, exchange, load.Parts);
    }

    private static ConnectedInstrument Connected(IMeter meter, ILoad? load, Exchange exchange, DeviceParts parts) =>
        new(meter, load, exchange.Counters)
        {
            Inspect = parts,
            ReadAsFoundAsync = meter.ReadAsync,
            OutputEnable = parts.OutputEnable,
            Setter = parts.Setter,
        };

    private static ConnectedInstrument Scpi(BenchInstrument instrument, ILine line, TimeProvider time)
    {
        var definition = instrument.Definition;
        var exchange = new Exchange(line, time, ScpiSession.Rules(definition.TurnAround, definition.Deadline));
        var session = new ScpiSession(exchange, definition.Deadline, time);
        var meter = new ScpiMeter(instrument, session, time);
        return new ConnectedInstrument(meter, null, exchange.Counters)
        {
            Inspect = meter,
            ReadAsFoundAsync = meter.ReadAsFoundAsync,
        };
    }

    private static ConnectedInstrument Modbus(BenchInstrument instrument, ILine line, TimeProvider time)
    {
        var (client, exchange) = ModbusClient(instrument, line, time);
        if (instrument.Definition.Switching is null)
        {
            var meter = new ModbusMeter(instrument, client, time);
            return Connected(meter, null, exchange, meter.Parts);
        }
        var load = new ModbusBank(instrument, client, time);
        return Connected(load, load, exchange, load.Parts);
    }

    /// <summary>The client to an instrument that is read and written by registers and coils.</summary>
    internal static (ModbusClient Client, Exchange Exchange) ModbusClient(
        BenchInstrument instrument,
        ILine line,
        TimeProvider time
    )
    {
        var definition = instrument.Definition;
        IModbusFraming framing = definition.Protocol switch
        {
            Protocol.ModbusTcp => TcpFrame.Instance,
            Protocol.ModbusAscii => AsciiFrame.Instance,
            _ => RtuFrame.Instance,
        };
        if (definition.UnitIdentifier is < 1 or > 247)
            throw new ArgumentException(
                $"Definition {definition.Name} has unit identifier {definition.UnitIdentifier}; 1 to 247 are allowed.",
                nameof(instrument)
            );
        var exchange = new Exchange(line, time, framing.Rules(definition.TurnAround, definition.Deadline));
        var client = new ModbusClient(exchange, framing, (byte)definition.UnitIdentifier, definition.Deadline, time)
        {
            MayRepeat = definition.MayRepeat,
            AddressBase = definition.AddressBase,
        };
        return (client, exchange);
    }
}
