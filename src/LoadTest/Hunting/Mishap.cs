using System.Globalization;
using LoadTest.Simulator.Faults;

namespace LoadTest.Hunting;

/// <summary>What in a run a mishap is timed from.</summary>
internal enum Anchor
{
    /// <summary>The run was opened.</summary>
    Opened,

    /// <summary>The first half of the gate was passed.</summary>
    Gate,

    /// <summary>The so-manieth step began.</summary>
    Step,

    /// <summary>The so-manieth switching was intended.</summary>
    Intent,

    /// <summary>The load was removed and is not confirmed off yet.</summary>
    Removed,
}

/// <summary>When a mishap happens.</summary>
/// <param name="Anchor">What it is timed from; when that never comes, neither does the mishap.</param>
/// <param name="Which">Which one, from 1, of anchors that come more than once.</param>
/// <param name="After">How long after it.</param>
internal readonly record struct Moment(Anchor Anchor, int Which, TimeSpan After)
{
    public override string ToString() =>
        string.Create(
            CultureInfo.InvariantCulture,
            $"{After.TotalSeconds:0.0000} s after {(Anchor is Anchor.Step or Anchor.Intent ? $"{Anchor} {Which}" : Anchor)}"
        );
}

/// <summary>Something that goes wrong in a run; the closed set of kinds follows.</summary>
internal abstract record Mishap(Moment When);

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
internal sealed record WireMishap(Moment When, string Device, WireTrouble Trouble, int Count, TimeSpan Span)
    : Mishap(When)
{
    public override string ToString() =>
        string.Create(
            CultureInfo.InvariantCulture,
            $"{Trouble} on the wire of {Device}, {Count} × {Span.TotalMilliseconds:0.0} ms, {When}"
        );
}

/// <summary>The simulated bench has a fault.</summary>
internal sealed record BenchMishap(Moment When, Fault Fault) : Mishap(When)
{
    public override string ToString() =>
        string.Create(
            CultureInfo.InvariantCulture,
            $"{Fault.Name} {Fault.Device}{Fault.Element} {Fault.Value} {Fault.Count}, {When}"
        );
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
internal sealed record PersonMishap(Moment When, Interference What) : Mishap(When)
{
    public override string ToString() => $"person: {What}, {When}";
}

/// <summary>Storage is slow, or lost for good.</summary>
/// <param name="IsLost">Whether it never comes back.</param>
/// <param name="Span">For how long nothing becomes durable.</param>
internal sealed record StorageMishap(Moment When, bool IsLost, TimeSpan Span) : Mishap(When)
{
    public override string ToString() =>
        string.Create(
            CultureInfo.InvariantCulture,
            $"storage {(IsLost ? "lost" : $"stalls {Span.TotalSeconds:0.000} s")}, {When}"
        );
}
