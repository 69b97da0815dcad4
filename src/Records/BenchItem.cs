using LoadTest.Sequencer.Benches;

namespace LoadTest.Records;

/// <summary>An instrument or shunt of the bench with its certificate on the day of the run.</summary>
/// <param name="Id">Short id on the bench.</param>
/// <param name="Kind">What it is.</param>
/// <param name="SerialNumber">Serial number; null when it has none.</param>
/// <param name="Reads">What it read or did, in words.</param>
/// <param name="Certificate">Its certificate; null when it has none.</param>
/// <param name="IsJudging">Whether results rest on it.</param>
/// <param name="IsInDate">Whether a certificate covers the day of the run.</param>
public sealed record BenchItem(
    string Id,
    string Kind,
    string? SerialNumber,
    string Reads,
    Certificate? Certificate,
    bool IsJudging,
    bool IsInDate
);
