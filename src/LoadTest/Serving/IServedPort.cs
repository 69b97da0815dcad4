using LoadTest.Sequencer.Benches;

namespace LoadTest.Serving;

/// <summary>Where clients reach one simulated device.</summary>
internal interface IServedPort : IDisposable
{
    /// <summary>Where it is.</summary>
    LineText Line { get; }

    /// <summary>How many clients it has; a terminal does not know, and says none.</summary>
    int Clients { get; }

    /// <summary>What clients find at their own end, commas between: addresses of connections, or which terminal it is.</summary>
    string Ends { get; }

    /// <summary>Answers whoever asked; on the pump.</summary>
    void Answer(ReadOnlyMemory<byte> bytes);
}
