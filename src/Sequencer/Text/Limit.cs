namespace LoadTest.Sequencer.Text;

/// <summary>What a percentage is a percentage of; a closed list, resolved by the planner from nameplate and step.</summary>
public enum BaseName
{
    /// <summary>Rated load current of the mode.</summary>
    RatedCurrent,

    /// <summary>Rated load voltage of the mode.</summary>
    RatedVoltage,

    /// <summary>Largest setting of the mode's control.</summary>
    MaximumSetting,

    /// <summary>Rated millivolts per ampere of the unit's own shunt.</summary>
    RatedRatio,

    /// <summary>The setting of the step.</summary>
    Setting,

    /// <summary>The reading itself.</summary>
    Reading,

    /// <summary>Rated output power of the mode.</summary>
    RatedPower,

    /// <summary>Rated voltage of the auxiliary output.</summary>
    RatedAuxiliaryVoltage,

    /// <summary>Rated frequency of the auxiliary output.</summary>
    RatedFrequency,

    /// <summary>What the elements commanded on would give by their resistances; for trips on load conductance.</summary>
    Commanded,
}

/// <summary>An amount in a file: a quantity, a percentage of a named base, or the named base itself.</summary>
/// <param name="Value">Value in <paramref name="Unit"/>, or a fraction when <paramref name="Of"/> is given (100 % is 1).</param>
/// <param name="Unit">Unit of the quantity; <see cref="Unit.Fraction"/> when <paramref name="Of"/> is given.</param>
/// <param name="Of">What the fraction is of; null for an absolute quantity.</param>
/// <param name="Place">Where it stands.</param>
public sealed record Amount(double Value, Unit Unit, BaseName? Of, Place Place);

/// <summary>How a limit is written.</summary>
public enum LimitForm
{
    /// <summary><c>NOMINAL ± SPREAD</c>.</summary>
    PlusMinus,

    /// <summary><c>LOWER to UPPER</c>.</summary>
    Range,

    /// <summary><c>at most UPPER</c>.</summary>
    AtMost,

    /// <summary><c>at least LOWER</c>.</summary>
    AtLeast,
}

/// <summary>A limit as written in a file, before percentages are resolved.</summary>
/// <param name="Form">How it is written, which decides which amounts are present.</param>
/// <param name="First">Nominal, lower or the single bound.</param>
/// <param name="Second">Spread (a bare percentage is of the nominal) or upper; null for the one-sided forms.</param>
/// <param name="Text">The limit as the person wrote it, for reports.</param>
/// <param name="Place">Where it stands.</param>
public sealed record Limit(LimitForm Form, Amount First, Amount? Second, string Text, Place Place);
