using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Journal;

namespace LoadTest.Hunting;

/// <content>What is said of load off, held against what the meters really gave and what really left.</content>
internal sealed partial class Watch
{
    private readonly Dictionary<int, (double Value, long At)> _lastRead = [];
    private long _runOpened;
    private long _allOffsLeft;
    private bool _hasInstructed;

    /// <summary>Each fact that counts is a reading a meter gave, later than the removal; all-offs called written have left.</summary>
    private void LookAtFacts(OffJudged off)
    {
        _hasInstructed |= !off.IsConfirmed;
        var facts = off.Facts;
        if (_latched is not null && facts.AllOffs.Written > _allOffsLeft)
            Report(
                Invariant.WrittenOnly,
                $"{facts.AllOffs.Written} all-offs are called written; {_allOffsLeft} left for the bank."
            );
        foreach (var reading in facts.Readings)
        {
            if (!facts.IsSince(reading.At))
                continue;
            var at = _runOpened + reading.At.Ticks;
            var name = _plan.Bench.Channels[reading.Channel].Name;
            if (!_lastRead.TryGetValue(reading.Channel, out var last) || last.At < at)
                Report(Invariant.FactsAreLater, $"{name} is quoted at {reading.At}, and gave nothing as late as that.");
            else if (_latched is not null && at < _latchedAt)
                Report(
                    Invariant.FactsAreLater,
                    $"{name} is quoted at {reading.At} as read since the removal, which came later."
                );
            else if (reading.Role == ChannelRole.StudVolts && last.At == at && !last.Value.Equals(reading.Value))
                Report(Invariant.FactsAreLater, $"{name} is quoted as {reading.Value}, and read {last.Value}.");
        }
    }

    /// <summary>A run that ends without a confirmation has told the person what to do: the terminal shows it with these facts.</summary>
    private void LookAtInstruction(RunClosed closed)
    {
        if (closed.Bank == BankEnd.OffNotConfirmed && !_hasInstructed)
            Report(
                Invariant.Instructs,
                $"The run was closed {closed.Outcome} {closed.Code} and nobody was told what to do."
            );
    }
}
