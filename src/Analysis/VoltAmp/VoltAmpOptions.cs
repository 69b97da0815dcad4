namespace LoadTest.Analysis.VoltAmp;

/// <summary>What is asked of a volt-amp curve.</summary>
public sealed record VoltAmpOptions
{
    /// <summary>Shape to use; null lets the evidence choose.</summary>
    public VoltAmpModel? Model { get; init; }

    /// <summary>Coverage probability of bands and intervals, above 0 and below 1.</summary>
    public double Coverage { get; init; } = 0.95;

    /// <summary>Load lines to find operating points on.</summary>
    public IReadOnlyList<LoadLine> LoadLines { get; init; } =
    [LoadLine.CoveredElectrode, LoadLine.Tig, LoadLine.MigMag];

    /// <summary>Rated current of the nameplate, A; with it regulation refers to this current. Null: the largest measured.</summary>
    public double? RatedAmperes { get; init; }

    /// <summary>Whether readings far from the curve are set aside from the fit. They are always flagged and always shown.</summary>
    public bool SetOutliersAside { get; init; } = true;

    /// <summary>Relative standard uncertainty of the voltmeter's gain, common to all points: it does not average out. Zero or above.</summary>
    /// <remarks>Point uncertainties then hold only what differs from reading to reading (JCGM 100:2008, F.1.2.3). 0.0005 is 0.05 %.</remarks>
    public double CommonVoltsGain { get; init; }

    /// <summary>Relative standard uncertainty of the ammeter's or shunt's gain, common to all points. Zero or above.</summary>
    public double CommonAmperesGain { get; init; }

    /// <summary>Whether uncertainties are enlarged by Birge's ratio when the readings scatter more than stated (chance below 0.001).</summary>
    public bool EnlargeForScatter { get; init; } = true;

    /// <summary>Last digit of the volts as they were written, V; it bounds the scatter from below where no uncertainty was stated. 0: not known.</summary>
    /// <remarks>A digit of 0.1 V is a standard uncertainty of 0.1/√12 = 0.029 V (JCGM 100:2008, F.2.2.1).</remarks>
    public double VoltsDigit { get; init; }

    /// <summary>Last digit of the amperes as they were written, A. 0: not known.</summary>
    public double AmperesDigit { get; init; }

    /// <summary>Open-circuit voltage read with nothing connected, V; it is then stated in place of the fitted one.</summary>
    public Estimate? MeasuredOpenCircuit { get; init; }

    /// <summary>First guess of the shape's parameters in volts and amperes; null for one of our own.</summary>
    public double[]? Start { get; init; }
}
