namespace LoadTest.Hunting;

/// <summary>A law that holds after every event of every run, whatever goes wrong.</summary>
/// <param name="Number">Its number among the invariants of the project; 0 for what every run must do besides.</param>
/// <param name="Name">What it demands, in a few words.</param>
internal sealed record Invariant(int Number, string Name)
{
    public static readonly Invariant GateFirst = new(1, "nothing is switched on before the gate is durable");
    public static readonly Invariant NothingAfterTheEnd = new(2, "nothing is switched on once the load was removed");
    public static readonly Invariant OffMeansOff = new(
        3,
        "the last command is all-off, and off is said only when it is so"
    );
    public static readonly Invariant AllOffAtOnce = new(4, "all-off waits for one transaction of the bus at most");
    public static readonly Invariant AllOffAgain = new(5, "all-off is repeated until confirmed");
    public static readonly Invariant OwedFirst = new(0, "a bank's line that is back gets the owed all-off first");
    public static readonly Invariant LossTrips = new(0, "a bank's line lost under load removes the load, back or not");
    public static readonly Invariant OffInTime = new(
        0,
        "a bank that answers within its deadline, however slowly, is confirmed off in the time promised"
    );
    public static readonly Invariant IntentFirst = new(
        6,
        "an intent is durable before its command, an all-off is never second to its entry"
    );
    public static readonly Invariant NothingUnasked = new(7, "nothing is on that the journal did not ask for");
    public static readonly Invariant WithinRatings = new(8, "no element is commanded above its rating");
    public static readonly Invariant NoBlindRepeat = new(
        9,
        "a switching whose result is unknown is not repeated before the states were read"
    );
    public static readonly Invariant GoodIsANumber = new(11, "what is called a good reading is a number within range");
    public static readonly Invariant AbsenceTrips = new(
        12,
        "with anything on, a silent channel removes the load within its age limit"
    );
    public static readonly Invariant FirstCauseStays = new(14, "the first cause never changes");
    public static readonly Invariant TimeGoesOn = new(16, "the journal's times never go back");
    public static readonly Invariant EveryWaitEnds = new(28, "every wait ends");
    public static readonly Invariant FactsAreLater = new(
        31,
        "what is said of load off is made from readings later than the removal, each with its time"
    );
    public static readonly Invariant Instructs = new(32, "an end that is not confirmed off has shown the instruction");
    public static readonly Invariant WrittenOnly = new(33, "nothing is called written that did not leave");
    public static readonly Invariant Lawful = new(36, "verify finds no law broken in an honest journal");
    public static readonly Invariant Journal = new(0, "the journal is whole and says how the run ended");
    public static readonly Invariant Healthy = new(0, "a bench without a fault completes its run");

    /// <summary>Number and name, for a line of output.</summary>
    public override string ToString() => Number == 0 ? Name : $"invariant {Number} ({Name})";
}
