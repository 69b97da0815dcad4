namespace LoadTest.Analysis.Ac;

/// <summary>Frequency droop and engine speed.</summary>
public static class Governor
{
    /// <summary>Fall of frequency from no load to full load, over the rated frequency; 0.05 is 5 %.</summary>
    /// <param name="noLoad">Hz at no load, above zero.</param>
    /// <param name="fullLoad">Hz at full load, above zero.</param>
    /// <param name="ratedHertz">Rated frequency, above zero.</param>
    /// <remarks>(f_nl − f_fl)/f_r: ISO 8528-5 (from memory: check your copy). 61.5 Hz to 58.5 Hz at 60 Hz: 0.05.</remarks>
    public static Estimate Droop(Estimate noLoad, Estimate fullLoad, double ratedHertz)
    {
        Given.Estimate("No-load frequency", noLoad, "Hz");
        Given.Estimate("Full-load frequency", fullLoad, "Hz");
        Given.Positive("No-load frequency", noLoad.Value, "Hz");
        Given.Positive("Full-load frequency", fullLoad.Value, "Hz");
        Given.Positive("Rated frequency", ratedHertz, "Hz");
        var fall = Combined.Difference(noLoad, fullLoad);
        return fall with
        {
            Value = fall.Value / ratedHertz,
            StandardUncertainty = fall.StandardUncertainty / ratedHertz,
        };
    }

    /// <summary>Speed of a synchronous machine in revolutions per minute.</summary>
    /// <param name="frequency">Hz, above zero.</param>
    /// <param name="poles">Number of poles, even, 2 or more.</param>
    /// <remarks>n = 120·f/p: machine textbooks. 60 Hz and 4 poles: 1800 r/min.</remarks>
    public static Estimate RevolutionsPerMinute(Estimate frequency, int poles)
    {
        Given.Estimate("Frequency", frequency, "Hz");
        Given.Positive("Frequency", frequency.Value, "Hz");
        CheckPoles(poles);
        return frequency with
        {
            Value = 120 * frequency.Value / poles,
            StandardUncertainty = 120 * frequency.StandardUncertainty / poles,
        };
    }

    /// <summary>Frequency in Hz at a speed: f = n·p/120. 3600 r/min and 2 poles: 60 Hz.</summary>
    public static Estimate Hertz(Estimate revolutionsPerMinute, int poles)
    {
        Given.Estimate("Speed", revolutionsPerMinute, "r/min");
        Given.Positive("Speed", revolutionsPerMinute.Value, "r/min");
        CheckPoles(poles);
        return revolutionsPerMinute with
        {
            Value = revolutionsPerMinute.Value * poles / 120,
            StandardUncertainty = revolutionsPerMinute.StandardUncertainty * poles / 120,
        };
    }

    private static void CheckPoles(int poles)
    {
        if (poles < 2 || poles % 2 != 0)
        {
            throw new ArgumentException($"{poles} poles were given. Poles come in pairs: give 2, 4, 6 or more.");
        }
    }
}
