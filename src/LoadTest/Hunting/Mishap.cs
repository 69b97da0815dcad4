using System.Collections.Immutable;
using System.Globalization;
using LoadTest.Simulator.Faults;

namespace LoadTest.Hunting;

/// <summary>When a mishap happens.</summary>
/// <param name="Stage">Stage of the run it is timed from; null = the mishap before it.</param>
/// <param name="Which">The so-manieth time that stage begins, from 1.</param>
/// <param name="After">How long after that; when it never begins, the mishap never happens.</param>
internal readonly record struct Moment(RunStage? Stage, int Which, TimeSpan After)
{
    /// <summary>So long after the mishap before it.</summary>
    public static Moment Behind(TimeSpan after) => new(null, 0, after);

    public override string ToString() =>
        string.Create(
            CultureInfo.InvariantCulture,
            $"{After.TotalSeconds:0.0000} s after {(Stage is { } stage ? $"{stage} {Which}" : "the one before")}"
        );
}

/// <summary>Something that goes wrong in a run; the closed set of its forms follows.</summary>
/// <param name="Kind">What is told apart when it is counted; null for a plain stop that only brings a removal about.</param>
/// <param name="When">When.</param>
internal abstract record Mishap(MishapKind? Kind, Moment When)
{
    /// <summary>Whether a run has to complete all the same.</summary>
    public virtual bool IsHarmless => false;

    /// <summary>Whether bank, storage and meters still do their work, so that off has to be confirmed in the time promised.</summary>
    public virtual bool LeavesOffProvable => IsHarmless;

    /// <summary>What exactly happens.</summary>
    protected abstract string What { get; }

    public sealed override string ToString() => $"{Kind?.Name ?? "stop"} ({What}), {When}";
}

/// <summary>What a wire does to what is on it.</summary>
internal enum WireTrouble
{
    /// <summary>Requests are lost.</summary>
    DropRequest,

    /// <summary>Replies are lost; the request was obeyed.</summary>
    DropReply,

    /// <summary>Replies come late, later ones behind them.</summary>
    Late,

    /// <summary>Bits of a reply are flipped.</summary>
    DamageReply,

    /// <summary>Bits of a request are flipped.</summary>
    DamageRequest,

    /// <summary>Replies come twice.</summary>
    Duplicate,

    /// <summary>Replies come in pieces.</summary>
    Split,

    /// <summary>Bytes nobody sent come before a reply.</summary>
    Noise,

    /// <summary>Requests come back.</summary>
    Echo,

    /// <summary>Nothing passes for a time.</summary>
    Gone,
}

/// <summary>A wire misbehaves.</summary>
/// <param name="Device">The device at its end.</param>
/// <param name="Trouble">How.</param>
/// <param name="Count">How many frames it strikes.</param>
/// <param name="Span">Delay of a late reply, pause between pieces, length of a gap.</param>
internal sealed record WireMishap(
    MishapKind? Kind,
    Moment When,
    string Device,
    WireTrouble Trouble,
    int Count,
    TimeSpan Span
) : Mishap(Kind, When)
{
    protected override string What =>
        string.Create(CultureInfo.InvariantCulture, $"{Device}, {Count} × {Span.TotalMilliseconds:0.0} ms");
}

/// <summary>The simulated bench has a fault.</summary>
/// <param name="Fault">Which.</param>
internal sealed record BenchMishap(MishapKind? Kind, Moment When, Fault Fault) : Mishap(Kind, When)
{
    public override bool LeavesOffProvable =>
        Fault.Name == "slow-replies" || FaultCatalogue.TargetOf(Fault.Name) == FaultTarget.Source;

    protected override string What =>
        string.Create(CultureInfo.InvariantCulture, $"{Fault.Device}{Fault.Element} {Fault.Value} {Fault.Count}");
}

/// <summary>How meters are stale.</summary>
internal enum Staleness
{
    /// <summary>They answer nothing.</summary>
    Silent,

    /// <summary>They give the same value again and again.</summary>
    Frozen,

    /// <summary>Their answers come late.</summary>
    Slow,
}

/// <summary>Meters tell nothing new from the removal of the load on.</summary>
/// <param name="How">How.</param>
/// <param name="Devices">Which.</param>
internal sealed record StaleMishap(MishapKind? Kind, Moment When, Staleness How, ImmutableArray<string> Devices)
    : Mishap(Kind, When)
{
    protected override string What => $"{string.Join(", ", Devices)} {How}";
}

/// <summary>What a person does that no plan holds.</summary>
internal enum Interference
{
    /// <summary>Asks the run to stop.</summary>
    Stop,

    /// <summary>The load is removed from outside, as a stop listener does.</summary>
    RemovedOutside,

    /// <summary>The load is removed from outside, as a signal does.</summary>
    Signal,

    /// <summary>Answers no to the next question.</summary>
    No,

    /// <summary>Answers nothing any more.</summary>
    Lost,
}

/// <summary>A person interferes.</summary>
/// <param name="Act">How.</param>
internal sealed record PersonMishap(MishapKind? Kind, Moment When, Interference Act) : Mishap(Kind, When)
{
    public override bool LeavesOffProvable => true;

    protected override string What => Act.ToString();
}

/// <summary>What happens to the machine the program runs on.</summary>
internal enum ClockTrouble
{
    /// <summary>Its wall clock is set, forwards or back: a label changes, and nothing else may.</summary>
    Set,

    /// <summary>It sleeps, and its monotonic clock with it.</summary>
    Sleep,

    /// <summary>It is so busy that the program does not come to run.</summary>
    Busy,
}

/// <summary>The machine's clocks or its time to run are meddled with.</summary>
/// <param name="Trouble">How.</param>
/// <param name="Span">By how much, negative for a clock set back; for how long.</param>
internal sealed record ClockMishap(MishapKind? Kind, Moment When, ClockTrouble Trouble, TimeSpan Span)
    : Mishap(Kind, When)
{
    public override bool IsHarmless => Trouble == ClockTrouble.Set;

    protected override string What => string.Create(CultureInfo.InvariantCulture, $"{Span.TotalSeconds:0.0000} s");
}

/// <summary>Storage is slow, or lost for good.</summary>
/// <param name="IsLost">Whether it never comes back.</param>
/// <param name="Span">For how long nothing becomes durable.</param>
internal sealed record StorageMishap(MishapKind? Kind, Moment When, bool IsLost, TimeSpan Span) : Mishap(Kind, When)
{
    protected override string What =>
        IsLost ? "for good" : string.Create(CultureInfo.InvariantCulture, $"{Span.TotalSeconds:0.000} s");
}
