using System.Collections.Immutable;
using LoadTest.Analysis.Ac;

namespace LoadTest.Records.Results;

/// <summary>What a sudden change of load did to the sampled channel.</summary>
/// <param name="Channel">Name of the channel.</param>
/// <param name="Unit">Unit of the values.</param>
/// <param name="Seconds">Moments from the change, s.</param>
/// <param name="Values">Values.</param>
/// <param name="Response">Dip, overshoot and recovery; null when the samples do not suffice.</param>
/// <param name="Band">Half-width of the steady band, in the same unit.</param>
public sealed record TransientResult(
    string Channel,
    string Unit,
    ImmutableArray<double> Seconds,
    ImmutableArray<double> Values,
    StepResponse? Response,
    double Band
);
