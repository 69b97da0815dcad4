using LoadTest.Simulator.Arithmetic;
using LoadTest.Simulator.Parameters;

namespace LoadTest.Simulator.Physics;

/// <summary>The whole bench as physics: moves when looked at, and looking never changes it.</summary>
/// <remarks>Committed steps lie on a fixed grid (10 ms while something settles, else 100 ms) and at events. A look between two
/// of them steps a copy. So the path depends on commands and time alone, not on who measured when.</remarks>
internal sealed class Plant
{
    private readonly TimeProvider _time;
    private readonly long _start;
    private readonly Network _network;
    private readonly Motion _motion;
    private PlantState _now;
    private PlantState _ahead;
    private bool _aheadIsFresh;
    private bool _advancing;

    public Plant(WorldFile world, TimeProvider time, ulong seed)
    {
        World = world;
        _time = time;
        _start = time.GetTimestamp();
        var chance = new Chance(seed, "elements");
        ElementOhms = world
            .Bank.ElementOhms.Select(ohms => ohms * (1 + chance.Signed() * world.Bank.TolerancePercent / 100))
            .ToArray();
        var auxiliary = new Chance(seed, "auxiliary elements");
        AuxiliaryOhms = world.Auxiliary is { } output
            ? [.. output.ElementOhms.Select(ohms => ohms * (1 + auxiliary.Signed() * output.TolerancePercent / 100))]
            : [];
        _network = new Network(world, ElementOhms, AuxiliaryOhms);
        _motion = new Motion(world, _network, ElementOhms);
        Bank = new BankControl(world.Bank, ElementOhms.Length + AuxiliaryOhms.Length, world.AmbientCelsius);
        Engine = new EngineRoom(world.Engine);
        Set.UnitRatioError = world.UnitShunt.RatioErrorPercent;
        Set.Signal = world.Control.MinimumAmperes;
        _now.Field = world.Alternator.ResidualField;
        _network.Solve(ref _now, Set);
    }

    public WorldFile World { get; }
    public Switches Set { get; } = new();
    public BankControl Bank { get; }
    public EngineRoom Engine { get; }
    public Agenda Agenda { get; } = new();

    /// <summary>True resistance of each element at 20 °C, Ω.</summary>
    public double[] ElementOhms { get; }

    /// <summary>True resistance of each AC element, Ω.</summary>
    public double[] AuxiliaryOhms { get; }

    /// <summary>Time since the bench was made, ticks of 100 ns.</summary>
    public long Ticks => _time.GetElapsedTime(_start).Ticks;

    /// <summary>The state at this instant.</summary>
    public ref readonly PlantState Look()
    {
        var ticks = Ticks;
        CommitUpTo(ticks);
        if (_now.Ticks >= ticks)
        {
            return ref _now;
        }

        if (!_aheadIsFresh || _ahead.Ticks != ticks)
        {
            _ahead = _now;
            _motion.Step(ref _ahead, ticks - _now.Ticks, Set);
            _aheadIsFresh = true;
        }

        return ref _ahead;
    }

    /// <summary>Brings the committed state to this instant, changes something, and works the circuit out again.</summary>
    public void Change(Action<long> change)
    {
        var ticks = Ticks;
        CommitUpTo(ticks);
        if (_now.Ticks < ticks)
        {
            _motion.Step(ref _now, ticks - _now.Ticks, Set);
        }

        change(_now.Ticks);
        Settle();
    }

    /// <summary>Does everything that was due until now.</summary>
    public void CatchUp() => CommitUpTo(Ticks);

    private void CommitUpTo(long ticks)
    {
        // An entry of the agenda that looks at the bench sees the state it is applied to.
        if (_advancing)
        {
            return;
        }

        _advancing = true;
        try
        {
            while (true)
            {
                var next = Math.Min(NextGrid(), Math.Min(Agenda.Next, Bank.Next));
                if (next > ticks)
                {
                    return;
                }

                if (next > _now.Ticks)
                {
                    _motion.Step(ref _now, next - _now.Ticks, Set);
                }

                Agenda.ActUpTo(_now.Ticks);
                Settle();
            }
        }
        finally
        {
            _advancing = false;
        }
    }

    private long NextGrid()
    {
        var grid =
            Bank.Contactors.Next == long.MaxValue && _motion.IsSteady(in _now, Set)
                ? Motion.SlowTicks
                : Motion.FastTicks;
        return (_now.Ticks / grid + 1) * grid;
    }

    private void Settle()
    {
        Engine.Act(in _now, Set);
        Bank.Act(in _now, Set);
        _network.Solve(ref _now, Set);
        _aheadIsFresh = false;
    }
}
