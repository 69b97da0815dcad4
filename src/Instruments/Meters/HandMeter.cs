using System.Collections.Immutable;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;

namespace LoadTest.Instruments.Meters;

/// <summary>A meter without a wire: a person reads it and types, and what is typed is held against range and resolution.</summary>
/// <param name="instrument">The instrument.</param>
/// <param name="ask">Asks the person; null when there is no answer. The words say what is wanted and, after a refusal, why.</param>
/// <param name="time">The pump.</param>
public sealed class HandMeter(
    BenchInstrument instrument,
    Func<string, CancellationToken, Task<string?>> ask,
    TimeProvider time
) : IMeter
{
    /// <summary>Answers to one question before it counts as unanswered.</summary>
    private const int MostTries = 3;

    /// <inheritdoc/>
    public string Name => instrument.Id;

    /// <inheritdoc/>
    public async Task<IdentityReply> IdentifyAsync(CancellationToken cancel)
    {
        var where = (instrument.Definition.Identity as IdentityCheck.Person)?.Where ?? "the meter";
        var typed = await ask($"{Name}: serial number on {where}?", cancel);
        if (typed is null)
            return new IdentityReply(CommandResult.Unknown($"{Name}: nobody read its serial number."), "");
        var said = $"serial number {typed.Trim()}, read by a person";
        return new IdentityReply(
            instrument.SerialNumber is null
            || string.Equals(typed.Trim(), instrument.SerialNumber, StringComparison.OrdinalIgnoreCase)
                ? CommandResult.Ok
                : CommandResult.Failed(
                    $"{Name}: serial number {instrument.SerialNumber} was expected, {typed.Trim()} was read. Take the meter the bench file names, or correct the bench file."
                ),
            said
        );
    }

    /// <summary>The person sets the meter and says so, input by input.</summary>
    public async Task<CommandResult> ConfigureAsync(CancellationToken cancel)
    {
        foreach (var input in instrument.Definition.Inputs)
        {
            var typed = await ask($"{Name}: set for {input.PersonReads}. Set? (yes)", cancel);
            if (typed is null)
                return CommandResult.Unknown($"{Name}: nobody said that it is set for {input.Name}.");
            if (!string.Equals(typed.Trim(), "yes", StringComparison.OrdinalIgnoreCase))
                return CommandResult.Failed($"{Name}: it is not set for {input.Name}; \"{typed.Trim()}\" was typed.");
        }
        return CommandResult.Ok;
    }

    /// <inheritdoc/>
    public async Task<ImmutableArray<Indication>> ReadAsync(ImmutableArray<string> inputs, CancellationToken cancel)
    {
        var readings = ImmutableArray.CreateBuilder<Indication>(inputs.Length);
        foreach (var name in inputs)
            readings.Add(await ReadAsync(instrument.Definition.Input(name), cancel));
        return readings.MoveToImmutable();
    }

    /// <summary>Why a typed reading cannot be this meter's; null when it can.</summary>
    /// <param name="input">Its input.</param>
    /// <param name="typed">What was typed: a number with its unit, or OL for overload.</param>
    /// <param name="value">The value in the input's unit.</param>
    public static string? Objection(InputDefinition input, string typed, out double value)
    {
        ArgumentNullException.ThrowIfNull(input);
        ArgumentNullException.ThrowIfNull(typed);
        var example = UnitText.Show(input.Range / 2, input.Unit);
        value = 0;
        if (QuantityText.Read(typed.Trim(), out var quantity, example) is { } why)
            return why;
        if (quantity.Unit != input.Unit)
            return $"`{typed.Trim()}` is in {UnitText.Usual(quantity.Unit)}; {input.Name} is read in {UnitText.Usual(input.Unit)}, for example {example}.";
        if (new Display(input.Range, input.Resolution).Objection(quantity.Value, input.Unit) is { } objection)
            return objection;
        value = quantity.Value;
        return null;
    }

    private async Task<Indication> ReadAsync(InputDefinition input, CancellationToken cancel)
    {
        var words = $"{Name}: {input.PersonReads}?";
        for (var tries = 0; tries < MostTries; tries++)
        {
            var typed = await ask(words, cancel);
            if (typed is null)
                break;
            if (string.Equals(typed.Trim(), "OL", StringComparison.OrdinalIgnoreCase))
                return new Indication(0, IndicationFlag.Overload, time.GetTimestamp());
            if (Objection(input, typed, out var value) is not { } why)
                return new Indication(value, IndicationFlag.Good, time.GetTimestamp());
            words = $"{why} {Name}: {input.PersonReads}?";
        }
        return new Indication(0, IndicationFlag.Missing, time.GetTimestamp());
    }
}
