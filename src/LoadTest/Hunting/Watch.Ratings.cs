namespace LoadTest.Hunting;

/// <content>What the elements bear, whatever the plan reckoned.</content>
internal sealed partial class Watch
{
    private readonly long[] _overSince;

    /// <summary>On a bench without a fault no element has more volts than it stands for the time it has them.</summary>
    private void LookAtRatings(uint on, long now)
    {
        if (HasFault)
            return;
        var volts = on == 0 ? 0 : _bench.Truth.BankVolts;
        for (var k = 0; k < _overSince.Length; k++)
        {
            var element = _plan.Bench.Bank.Elements[k];
            var isOver = (on >> k & 1) != 0 && volts > element.ContinuousVolts.Value;
            _overSince[k] = isOver ? Math.Min(_overSince[k], now) : long.MaxValue;
            if (isOver && (volts > element.ShortTimeVolts.Value || now - _overSince[k] > element.ShortTime.Ticks))
                Report(
                    Invariant.WithinRatings,
                    $"Element {k} has {volts:0.0} V; it stands {element.ContinuousVolts.Value} V, and {element.ShortTimeVolts.Value} V for {element.ShortTime.TotalSeconds} s."
                );
        }
    }
}
