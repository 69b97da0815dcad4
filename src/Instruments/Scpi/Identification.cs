namespace LoadTest.Instruments.Scpi;

/// <summary>The four fields of an identification reply.</summary>
/// <param name="Maker">Manufacturer.</param>
/// <param name="Model">Model.</param>
/// <param name="SerialNumber">Serial number; <c>0</c> when the instrument has none.</param>
/// <param name="Firmware">Firmware or version; <c>0</c> when it has none.</param>
/// <remarks>IEEE 488.2 clause 10.14: four fields, separated by commas.</remarks>
internal sealed record Identification(string Maker, string Model, string SerialNumber, string Firmware)
{
    /// <summary>Takes a reply apart; null when it has not four fields.</summary>
    public static Identification? Read(string reply)
    {
        var fields = reply.Split(',');
        return fields.Length == 4
            ? new Identification(fields[0].Trim(), fields[1].Trim(), fields[2].Trim(), fields[3].Trim())
            : null;
    }
}
