using LoadTest.Instruments.Line;

namespace LoadTest.Instruments.Loads;

/// <summary>Whether a bank's line has held since elements were switched on over it; one that broke meanwhile has to cost the load.</summary>
/// <remarks>What a bank did while nobody could reach it is not known, however short that was and whoever answers now.</remarks>
internal sealed class UnbrokenLine(LinkCounters link)
{
    private long _returns;
    private volatile bool _mayBeOn;

    /// <summary>Why nothing the bank says counts until the load was removed; null when the line has held.</summary>
    public string? Objection(string bank) =>
        _mayBeOn && link.Returns != _returns
            ? $"{bank}: its line was lost while elements were on, and is back. What it did meanwhile is not known; all of it has to go off."
            : null;

    /// <summary>Elements are about to be switched on.</summary>
    public void SwitchOn() => (_returns, _mayBeOn) = (link.Returns, true);

    /// <summary>All-off was sent or is owed; from any thread.</summary>
    public void SwitchOff() => _mayBeOn = false;
}
