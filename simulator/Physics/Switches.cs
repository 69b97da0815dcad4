namespace LoadTest.Simulator.Physics;

/// <summary>Everything that is switched or set, rather than flowing: it changes only at events.</summary>
internal sealed class Switches
{
    public bool EngineOn { get; set; }
    public bool Cranking { get; set; }
    public bool Idling { get; set; }
    public bool IdleDown { get; set; }

    /// <summary>Whether the unit may give output: its own switch, and no open relay in series.</summary>
    public bool Output
    {
        get => field && !HeldOff;
        set;
    }

    /// <summary>An open relay in the output-enable circuit.</summary>
    public bool HeldOff { get; set; }
    public SourceMode Mode { get; set; }

    /// <summary>What the dial asks, A or V by mode, with the errors of dial and hand.</summary>
    public double Signal { get; set; }
    public double FeedbackGain { get; set; } = 1;
    public double UnitRatioError { get; set; }

    /// <summary>Contactors really closed, bit k = element k.</summary>
    public uint Closed { get; set; }
    public bool FanTurning { get; set; }

    // Faults of the source.
    public bool FeedbackOpen { get; set; }
    public double RectifierShare { get; set; } = 1;
    public double RippleShare { get; set; } = SourceModel.SixPulseRipple;
    public int RippleMultiple { get; set; } = 6;
    public bool BuildUpLost { get; set; }
    public double Overvoltage { get; set; } = 1;
    public double LugOhms { get; set; }
}
