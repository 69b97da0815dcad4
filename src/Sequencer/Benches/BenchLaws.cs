using System.Collections.Immutable;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Benches;

/// <summary>What must hold between the parts of a bench file.</summary>
internal static class BenchLaws
{
    /// <summary>Checks instruments, bank and channels against each other.</summary>
    /// <param name="banks">DC bank, null when its own part is in error; AC elements, null when there are none.</param>
    internal static void Check(
        ImmutableArray<BenchInstrument> instruments,
        (Bank? Dc, AuxiliaryBank? Ac) banks,
        ImmutableArray<Channel> channels,
        bool isSimulated,
        Place place,
        FindingList findings
    )
    {
        var (bank, auxiliary) = banks;
        CheckInstruments(instruments, isSimulated, findings);
        if (bank is not null)
        {
            CheckBank(instruments, bank, auxiliary?.Elements.Length ?? 0, findings);
        }
        if (channels.Length > 0)
        {
            CheckChannels(instruments, channels, findings);
            CheckPaths(channels, place, findings);
        }
        if (bank is not null && channels.Length > 0)
        {
            foreach (
                var idle in instruments.Where(i =>
                    i.Id != bank.InstrumentId
                    && i.Definition.Protocol != Protocol.ByHand
                    && i.Definition is { Relays.IsEmpty: true, Setter: null }
                    && channels.All(c => c.InstrumentId != i.Id)
                )
            )
            {
                findings.Warn(idle.Place, $"Instrument `{idle.Id}` reads no channel. Add its channel, or take it out.");
            }
        }
    }

    /// <summary>Checks that every point of a certificate belongs to an input of the instrument.</summary>
    internal static void CheckCertificate(
        InstrumentDefinition definition,
        Certificate certificate,
        FindingList findings
    )
    {
        foreach (var point in certificate.Points)
        {
            var input = definition.Inputs.FirstOrDefault(i => i.Name == point.Input);
            if (input is null)
            {
                var advice = NearestWord.Advice(point.Input ?? "", [.. definition.Inputs.Select(i => i.Name)]);
                findings.Error(
                    certificate.Place,
                    $"A certificate point names the input `{point.Input}`, which `{definition.Name}` has not. {advice}"
                );
            }
            else if (input.Unit != point.At.Unit)
            {
                findings.Error(
                    certificate.Place,
                    $"A certificate point of input `{input.Name}` is in {UnitText.Usual(point.At.Unit)}; the input reads {UnitText.Usual(input.Unit)}."
                );
            }
            else if (Math.Abs(point.At.Value) > 1.2 * input.Range)
            {
                findings.Error(
                    certificate.Place,
                    $"A certificate point at {UnitText.Show(point.At.Value, input.Unit)} is beyond the range of input `{input.Name}`, "
                        + $"{UnitText.Show(input.Range, input.Unit)}. Check its unit, and that the definition is the one for that range."
                );
            }
        }
    }

    private static void CheckInstruments(
        ImmutableArray<BenchInstrument> instruments,
        bool isSimulated,
        FindingList findings
    )
    {
        var ids = new HashSet<string>(StringComparer.OrdinalIgnoreCase);
        var lines = new Dictionary<(LineText, int), string>();
        var ports = new Dictionary<string, string>(StringComparer.Ordinal);
        foreach (var one in instruments)
        {
            if (!ids.Add(one.Id))
            {
                findings.Error(one.Place, $"A second instrument has the id `{one.Id}`. Give each an id of its own.");
            }
            if (!lines.TryAdd((one.Line, one.Definition.UnitIdentifier), one.Id))
            {
                var other = lines[(one.Line, one.Definition.UnitIdentifier)];
                findings.Error(
                    one.Place,
                    $"Instrument `{one.Id}` is reached in the same way as `{other}`. Two cannot answer at once; check `line`."
                );
            }
            else if (one.Line is LineText.Serial serial && !ports.TryAdd(serial.Port, one.Id))
            {
                findings.Error(
                    one.Place,
                    $"Instrument `{one.Id}` is on the serial port of `{ports[serial.Port]}`. Give each a port of its own; several on one bus are not read yet."
                );
            }
            if (one.Line is LineText.Person != (one.Definition.Protocol == Protocol.ByHand))
            {
                findings.Error(
                    one.Place,
                    $"Instrument `{one.Id}`: `person: yes` belongs to a definition whose protocol is `by hand`, and to no other."
                );
            }
            if (one.Line is LineText.Simulated && !isSimulated)
            {
                findings.Error(
                    one.Place,
                    $"Instrument `{one.Id}` is a simulated device, but the file names no `simulated world`. Add it."
                );
            }
        }
    }

    private static void CheckBank(
        ImmutableArray<BenchInstrument> instruments,
        Bank bank,
        int auxiliary,
        FindingList findings
    )
    {
        var controller = instruments.FirstOrDefault(i => i.Id == bank.InstrumentId);
        if (controller is null)
        {
            findings.Error(
                bank.Place,
                $"`controller` is `{bank.InstrumentId}`, which is no instrument here. {Ids(bank.InstrumentId, instruments)}"
            );
        }
        else if (controller.Definition.Switching is not { } switching)
        {
            findings.Error(
                bank.Place,
                $"`controller` is `{controller.Id}`, whose definition `{controller.DefinitionFile}` has no `switching`. Name the bank's own controller."
            );
        }
        else if (switching.ElementCount != bank.Elements.Length + auxiliary)
        {
            findings.Error(
                bank.Place,
                $"The bank lists {bank.Elements.Length} elements{(auxiliary > 0 ? $" and {auxiliary} AC elements" : "")}, but `{controller.DefinitionFile}` switches {switching.ElementCount}. List each element once."
            );
        }
    }

    private static void CheckChannels(
        ImmutableArray<BenchInstrument> instruments,
        ImmutableArray<Channel> channels,
        FindingList findings
    )
    {
        var names = new HashSet<string>(StringComparer.OrdinalIgnoreCase);
        var roles = new HashSet<(ChannelRole, bool)>();
        foreach (var channel in channels)
        {
            if (!names.Add(channel.Name))
            {
                findings.Error(
                    channel.Place,
                    $"A second channel is called `{channel.Name}`. Give each a name of its own."
                );
            }
            if (!roles.Add((channel.Role, channel.IsFast)))
            {
                var path = channel.IsFast ? "fast" : "slow";
                findings.Error(
                    channel.Place,
                    $"A second {path} channel reads `{ChannelRoles.Word(channel.Role)}`. Keep one, or give one the other path."
                );
            }
            CheckInput(instruments, channel, findings);
        }
    }

    private static void CheckInput(ImmutableArray<BenchInstrument> instruments, Channel channel, FindingList findings)
    {
        var instrument = instruments.FirstOrDefault(i => i.Id == channel.InstrumentId);
        if (instrument is null)
        {
            findings.Error(
                channel.Place,
                $"Channel `{channel.Name}` names the instrument `{channel.InstrumentId}`, which is not here. {Ids(channel.InstrumentId, instruments)}"
            );
            return;
        }
        var input = instrument.Definition.Inputs.FirstOrDefault(i => i.Name == channel.Input);
        if (input is null)
        {
            var advice = NearestWord.Advice(channel.Input, [.. instrument.Definition.Inputs.Select(i => i.Name)]);
            findings.Error(
                channel.Place,
                $"Channel `{channel.Name}` names the input `{channel.Input}`, which `{instrument.Id}` has not. {advice}"
            );
            return;
        }
        if (instrument.Definition.Protocol == Protocol.ByHand)
        {
            findings.Error(
                channel.Place,
                $"Channel `{channel.Name}` is scanned many times a second, but `{instrument.Id}` is read by a person. Ask for its readings in steps `by hand`, and take the channel out."
            );
        }
        var unit = ChannelRoles.UnitOf(channel.Role);
        if (input.Unit != unit)
        {
            findings.Error(
                channel.Place,
                $"Channel `{channel.Name}` reads `{ChannelRoles.Word(channel.Role)}` in {UnitText.Usual(unit)}, but input `{input.Name}` gives {UnitText.Usual(input.Unit)}."
            );
        }
        if (channel.MaximumAge <= input.Aperture)
        {
            findings.Error(
                channel.Place,
                $"Channel `{channel.Name}` allows readings {UnitText.Show(channel.MaximumAge.TotalSeconds, Unit.Second)} old, but one takes "
                    + $"{UnitText.Show(input.Aperture.TotalSeconds, Unit.Second)} to make. Set `oldest` well above that."
            );
        }
    }

    // Trips need one fast voltage and one fast current; verdicts need volts at the studs and amperes of the certified shunt.
    private static void CheckPaths(ImmutableArray<Channel> channels, Place place, FindingList findings)
    {
        bool Has(bool isFast, params ChannelRole[] roles) =>
            channels.Any(c => c.IsFast == isFast && roles.Contains(c.Role));
        if (!Has(true, ChannelRole.BankVolts, ChannelRole.StudVolts))
        {
            findings.Error(
                place,
                "channels have no fast `bank volts` or `stud volts`, so no voltage trip could act. Add one with `path: fast`."
            );
        }
        if (!Has(true, ChannelRole.BankAmperes, ChannelRole.ReferenceShuntDrop))
        {
            findings.Error(
                place,
                "channels have no fast `bank amperes` or `reference shunt drop`, so no current trip could act. Add one with `path: fast`."
            );
        }
        if (!Has(false, ChannelRole.StudVolts))
        {
            findings.Error(
                place,
                "channels have no slow `stud volts`, by which output voltage is judged. Add one with `path: slow`."
            );
        }
        if (!Has(false, ChannelRole.ReferenceShuntDrop))
        {
            findings.Error(
                place,
                "channels have no slow `reference shunt drop`, by which output current is judged. Add one with `path: slow`."
            );
        }
    }

    private static string Ids(string written, ImmutableArray<BenchInstrument> instruments) =>
        NearestWord.Advice(written, [.. instruments.Select(i => i.Id)]);
}
