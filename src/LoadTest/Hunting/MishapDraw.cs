using System.Collections.Immutable;
using LoadTest.Simulator.Parameters;

namespace LoadTest.Hunting;

/// <summary>Which mishaps a seed brings: none, one, a pair the second of which comes before the load is off, or several anywhere.</summary>
internal static class MishapDraw
{
    // The short stages are aimed at more often, because many a run ends before it comes to them.
    private static readonly RunStage[] Stages =
    [
        .. Enum.GetValues<RunStage>(),
        RunStage.SwitchingOn,
        RunStage.SwitchingOn,
        RunStage.Measuring,
        RunStage.Unloading,
        RunStage.Unloading,
        RunStage.Unloading,
        RunStage.Removing,
        RunStage.Removing,
    ];

    /// <summary>Draws them.</summary>
    public static ImmutableArray<Mishap> Of(Draw draw, WorldFile world)
    {
        var mishaps = ImmutableArray.CreateBuilder<Mishap>();
        switch (draw.Below(100))
        {
            case < 4:
                break;
            case < 16:
                mishaps.AddRange(First(draw, world));
                break;
            case < 86:
                mishaps.AddRange(First(draw, world));
                mishaps.Add(One(draw, world, Moment.Behind(Soon(draw))));
                break;
            default:
                for (var k = draw.Below(4); k >= 0; k--)
                    mishaps.Add(One(draw, world, In(draw.Of(Stages), draw)));
                break;
        }
        return mishaps.ToImmutable();
    }

    /// <summary>A mishap in a stage; the load is removed only in a run that is made to, by a stop in mid-load.</summary>
    private static IEnumerable<Mishap> First(Draw draw, WorldFile world)
    {
        var stage = draw.Of(Stages);
        if (stage == RunStage.Removing)
        {
            var load = draw.Of([RunStage.SwitchingOn, RunStage.Settling, RunStage.Measuring]);
            yield return new PersonMishap(null, In(load, draw), Interference.Stop);
        }
        yield return One(draw, world, In(stage, draw));
    }

    private static Mishap One(Draw draw, WorldFile world, Moment when)
    {
        MishapKind kind;
        do
        {
            kind = draw.Of(MishapKind.All);
        } while (!kind.CanHappen(world));
        return kind.Make(kind, draw, world, when);
    }

    private static TimeSpan Soon(Draw draw) =>
        draw.Below(100) switch
        {
            < 15 => TimeSpan.Zero,
            < 75 => draw.Between(0, 60),
            _ => draw.Between(0, 1500),
        };

    private static Moment In(RunStage stage, Draw draw) =>
        stage switch
        {
            RunStage.Gate => new Moment(stage, 1, draw.Between(0, 9000)),
            RunStage.Proving => new Moment(stage, 1, draw.Between(0, 9000)),
            RunStage.SwitchingOn => new Moment(stage, 1 + draw.Below(4), draw.Between(0, 90)),
            RunStage.Settling => new Moment(stage, 1 + draw.Below(5), draw.Between(0, 599)),
            RunStage.Measuring => new Moment(
                RunStage.Settling,
                1 + draw.Below(5),
                StageTracker.Settles + draw.Between(0, 1500)
            ),
            RunStage.Unloading => new Moment(stage, 1 + draw.Below(3), draw.Between(0, 90)),
            RunStage.Standing => new Moment(stage, 1 + draw.Below(3), draw.Between(0, 1000)),
            _ => new Moment(stage, 1, draw.Between(0, 150)),
        };
}
