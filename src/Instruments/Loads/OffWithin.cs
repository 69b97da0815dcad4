using LoadTest.Sequencer.Benches;

namespace LoadTest.Instruments.Loads;

/// <summary>How long it takes at most until a removed load is confirmed off at a bank that does its work, however slowly.</summary>
public static class OffWithin
{
    private const int Rounds = 4;
    private const int BesidesTheReading = 2;

    /// <summary>The longest time, for a bank that answers each request within nine tenths of its deadline.</summary>
    /// <param name="bank">The bank's definition; it switches elements over a line.</param>
    /// <returns>4 · (n + 2) · deadline, n = requests of one reading of coils, contacts and inputs: 2 requests and 150 ms give 2.4 s.</returns>
    /// <exception cref="ArgumentException">The definition switches no bank.</exception>
    /// <remarks>
    /// Before a reading counts, a request in flight, the all-off and the reading are served one after the other, with the bank's own
    /// readings in between; the contacts may open too late for the first reading, and then all of it comes once more.
    /// </remarks>
    public static TimeSpan Of(InstrumentDefinition bank)
    {
        ArgumentNullException.ThrowIfNull(bank);
        var switching =
            bank.Switching
            ?? throw new ArgumentException($"Definition {bank.Name} switches no load bank.", nameof(bank));
        var requests = switching.Text is null ? new BankStates(switching).RequestCount : 1;
        return Rounds * (requests + BesidesTheReading) * bank.Deadline;
    }
}
