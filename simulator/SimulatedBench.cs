using LoadTest.Simulator.Accessories;
using LoadTest.Simulator.Arithmetic;
using LoadTest.Simulator.Banks;
using LoadTest.Simulator.Faults;
using LoadTest.Simulator.Meters;
using LoadTest.Simulator.Panel;
using LoadTest.Simulator.Parameters;
using LoadTest.Simulator.Physics;

namespace LoadTest.Simulator;

/// <summary>A whole bench in software: the unit, its load bank, meters and a pair of hands.</summary>
/// <remarks>Time and chance come from outside: the same world, seed, commands and times give the same bytes. Not safe for use by
/// several threads at once; the host keeps everything on its pump.</remarks>
public sealed class SimulatedBench : IDisposable
{
    private readonly Plant _plant;
    private readonly FaultBoard _board;
    private readonly BankMap _map;

    private SimulatedBench(WorldFile world, TimeProvider time, ulong seed, string? startSecret)
    {
        World = world;
        _plant = new Plant(world, time, seed);
        Source = new Source(_plant, seed);
        _map = new BankMap(_plant, new Chance(seed, world.Bank.Name));
        var of = world.Bank;
        var bank = BankDevice(of, time);
        var loggers = (world.Loggers ?? []).Select(logger => Logger(logger, time, seed)).ToArray();
        var meters = world.Meters.Select(meter => new MeterDevice(_plant, meter, time, seed)).ToArray();
        var accessories = (world.Accessories ?? [])
            .Select(one => AccessoryDevices.Create(_plant, one, time, seed))
            .ToArray();
        _board = new FaultBoard(
            _plant,
            Source,
            _map,
            [.. accessories.Prepend(bank).Concat(meters).Concat(loggers).OfType<IFaultyLine>()],
            meters,
            time
        );
        Hands = new HandsDevice(this, time, startSecret);
        Devices = [bank, .. meters, .. loggers, .. accessories, Hands];
        foreach (var fault in world.Faults)
        {
            Inject(fault.ToFault(), TimeSpan.FromSeconds(fault.AtSeconds));
        }
    }

    /// <summary>The parameters it was made with.</summary>
    public WorldFile World { get; }

    /// <summary>Bank, meters, loggers and accessories in the order of the world file, hands.</summary>
    public IReadOnlyList<SimulatedDevice> Devices { get; }

    /// <summary>What a person does at the machine, as a line protocol.</summary>
    public SimulatedDevice Hands { get; }

    /// <summary>What a person does at the machine, as calls.</summary>
    public Source Source { get; }

    /// <summary>The last write of the bank's element coils; null before the first.</summary>
    public LoadCommand? LastLoadCommand => _map.LastLoadCommand;

    /// <summary>Contactors really closed, bit k = element k.</summary>
    public uint ElementsOn
    {
        get
        {
            _plant.CatchUp();
            return _plant.Set.Closed;
        }
    }

    /// <summary>True while any contactor is really closed, whether current flows or not.</summary>
    public bool AnyElementEnergised => ElementsOn != 0;

    /// <summary>What is really so at this instant.</summary>
    public Truth Truth
    {
        get
        {
            ref readonly var state = ref _plant.Look();
            var set = _plant.Set;
            var sense = SourceModel.SenseOhms(
                World.UnitShunt,
                set.UnitRatioError,
                state.UnitShuntRise,
                World.AmbientCelsius
            );
            return new(
                TimeSpan.FromTicks(state.Ticks),
                state.StudVolts,
                state.Amperes,
                state.BankVolts,
                state.UnitDrop,
                state.ReferenceDrop,
                sense,
                state.Conductance,
                set.Closed,
                state.RippleVolts,
                state.Rpm,
                set.EngineOn,
                set.Output,
                set.FeedbackOpen && set.Output && set.Mode == SourceMode.ConstantCurrent
            )
            {
                WindingCelsius = World.AmbientCelsius + state.WindingRise,
                ReferenceShuntCelsius = World.AmbientCelsius + state.ReferenceShuntRise,
                AirCelsius = World.AmbientCelsius,
                AuxiliaryVolts = state.AuxiliaryVolts,
                AuxiliaryHertz = state.Rpm * World.Alternator.Poles / 120,
                AuxiliaryWatts = state.AuxiliaryVolts * state.AuxiliaryAmperes,
            };
        }
    }

    /// <summary>A bench of this world, at rest: engine stopped, output off, every element off.</summary>
    /// <param name="world">Parameters.</param>
    /// <param name="time">Clock and timers; virtual or real.</param>
    /// <param name="seed">Chooses element tolerances, noise and what a hand makes of a mark.</param>
    /// <param name="startSecret">Hexadecimal word the hands' first line has to give; without one the hands' line protocol is locked.</param>
    public static SimulatedBench Create(WorldFile world, TimeProvider time, ulong seed, string? startSecret = null)
    {
        ArgumentNullException.ThrowIfNull(world);
        ArgumentNullException.ThrowIfNull(time);
        return new(world, time, seed, startSecret);
    }

    /// <summary>Lets a fault happen now.</summary>
    /// <exception cref="ArgumentException">No such fault, or not in this world.</exception>
    public void Inject(Fault fault)
    {
        ThrowIfObjectionable(fault);
        _plant.Change(ticks => _board.Apply(fault, ticks));
    }

    /// <summary>Lets a fault happen at a time since the bench was made; a time already gone means now.</summary>
    /// <exception cref="ArgumentException">No such fault, or not in this world.</exception>
    public void Inject(Fault fault, TimeSpan at)
    {
        ThrowIfObjectionable(fault);
        if (at.Ticks <= _plant.Ticks)
        {
            Inject(fault);
            return;
        }

        _plant.Agenda.Add(at.Ticks, () => _board.Apply(fault, at.Ticks));
    }

    /// <summary>Takes every injected fault away; what it did stays done.</summary>
    public void ClearFaults() => _plant.Change(_board.Clear);

    /// <summary>Stops every device's timers.</summary>
    public void Dispose()
    {
        _board.Dispose();
        foreach (var device in Devices)
        {
            device.Dispose();
        }
    }

    private SimulatedDevice BankDevice(BankWorld of, TimeProvider time)
    {
        var wires = new DeviceWires(of.Name, of.Protocol, of.UnitId, of.TurnAroundMilliseconds);
        return of.Protocol switch
        {
            "modbus-tcp" => new TcpDevice(_plant, wires, _map, time),
            "text" => new TextDevice(
                _plant,
                of.Name,
                BankLines.Frame,
                new BankLines(_plant, _map),
                new TextTiming(time, of.TurnAroundMilliseconds)
            ),
            _ => new RtuDevice(_plant, wires, _map, time),
        };
    }

    private TcpDevice Logger(LoggerWorld logger, TimeProvider time, ulong seed) =>
        new(
            _plant,
            new DeviceWires(logger.Name, "modbus-tcp", logger.UnitId, logger.TurnAroundMilliseconds),
            new LoggerMap(_plant, logger, new Chance(seed, logger.Name)),
            time
        );

    private void ThrowIfObjectionable(Fault fault)
    {
        ArgumentNullException.ThrowIfNull(fault);
        if (FaultCatalogue.Objection(fault, World) is { } objection)
        {
            throw new ArgumentException(objection, nameof(fault));
        }
    }
}
