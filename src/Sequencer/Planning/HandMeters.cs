using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Planning;

/// <summary>Finds the meter a step by hand names among the instruments of the bench.</summary>
internal static class HandMeters
{
    /// <summary>The meter and its input; null when none is named or, with a finding, when it cannot be used.</summary>
    public static HandReading? Find(ByHandStep step, Bench bench, List<Finding> findings)
    {
        if (step.With is not { } named)
        {
            if (step.Expect is not null)
            {
                findings.Add(
                    new Finding(
                        step.Place,
                        Severity.Warning,
                        $"\"{step.Text}\" names no meter, so its limit will not be tested: the uncertainty of the value is not known. Name an instrument of the bench, for example \"with: hand-1\"."
                    )
                );
            }
            return null;
        }
        var meters = bench.Instruments.Where(i => i.Definition.Protocol == Protocol.ByHand).ToArray();
        if (Array.Find(meters, i => i.Id == named.Instrument) is not { } meter)
        {
            var known = meters.Length == 0 ? "no such instrument" : string.Join(", ", meters.Select(i => i.Id));
            return Refused(
                $"\"{named.Instrument}\" is no instrument that a person reads on the bench {bench.Name}, which has {known}. Add it to the bench file with a definition whose protocol is \"by hand\", or name another."
            );
        }
        var inputs = meter
            .Definition.Inputs.Where(i => i.Unit == step.Unit && (named.Input is null || i.Name == named.Input))
            .ToArray();
        return inputs switch
        {
            [var input] => new HandReading(meter, input),
            [] => Refused(
                $"{meter.Id} has no input{(named.Input is null ? "" : $" \"{named.Input}\"")} in {Words.For(step.Unit)}; it has {Listed(meter.Definition.Inputs)}. Name one of them or another meter."
            ),
            _ => Refused(
                $"{meter.Id} has more than one input in {Words.For(step.Unit)}: {Listed(inputs)}. Say which with \"input\"."
            ),
        };

        HandReading? Refused(string message)
        {
            findings.Add(new Finding(named.Place, Severity.Error, message));
            return null;
        }
    }

    private static string Listed(IEnumerable<InputDefinition> inputs) =>
        string.Join(", ", inputs.Select(i => $"{i.Name} ({Words.For(i.Unit)})"));
}
