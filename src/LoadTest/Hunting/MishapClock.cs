using System.Collections.Immutable;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;

namespace LoadTest.Hunting;

/// <summary>Lets each mishap happen when its moment has come, as the journal tells of the anchors.</summary>
internal sealed class MishapClock(ImmutableArray<Mishap> mishaps, Pump pump, Action<Mishap> strike)
{
    private readonly bool[] _isSet = new bool[mishaps.Length];
    private int _steps;
    private int _intents;

    /// <summary>How many have happened.</summary>
    public int Struck { get; private set; }

    /// <summary>An entry was appended.</summary>
    public void Seen(JournalEntry entry)
    {
        switch (entry)
        {
            case RunOpened:
                Reach(Anchor.Opened, 1);
                break;
            case GatePassed { Half: 1 }:
                Reach(Anchor.Gate, 1);
                break;
            case StepStarted:
                Reach(Anchor.Step, ++_steps);
                break;
            case SwitchIntended:
                Reach(Anchor.Intent, ++_intents);
                break;
            case LoadRemoved:
                Reach(Anchor.Removed, 1);
                break;
        }
    }

    private void Reach(Anchor anchor, int which)
    {
        for (var k = 0; k < mishaps.Length; k++)
        {
            var when = mishaps[k].When;
            if (_isSet[k] || when.Anchor != anchor || when.Which != which)
                continue;
            _isSet[k] = true;
            var mishap = mishaps[k];
            pump.CreateTimer(_ => Strike(mishap), null, when.After, Timeout.InfiniteTimeSpan);
        }
    }

    private void Strike(Mishap mishap)
    {
        Struck++;
        strike(mishap);
    }
}
