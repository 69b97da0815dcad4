namespace LoadTest.Analysis.Heat;

/// <summary>How long to wait until a part is cool enough, of the unit or of the bank.</summary>
public static class Cooling
{
    /// <summary>Time until a temperature is reached on a way to that of the air, s.</summary>
    /// <param name="now">Temperature now, °C.</param>
    /// <param name="air">Temperature of the air it cools to, °C.</param>
    /// <param name="timeConstantSeconds">Time constant of cooling, s; with the fan running if it runs.</param>
    /// <param name="target">Temperature to wait for, °C, above the air's.</param>
    /// <returns>s with uncertainty; zero when it is there already.</returns>
    /// <exception cref="ArgumentException">The target is not above the air, so it is never reached.</exception>
    /// <remarks>
    /// t = τ·ln((T − T_a)/(T_t − T_a)): Newton's law of cooling. Worked: 80 °C to 40 °C in air of 20 °C with 600 s: 659 s.
    /// A part that stops being cooled by its own fan cools slower: take the time constant of that state.
    /// </remarks>
    public static Estimate Wait(Estimate now, Estimate air, Estimate timeConstantSeconds, double target)
    {
        Given.Estimate("Temperature", now, "°C");
        Given.Estimate("Air temperature", air, "°C");
        Given.Estimate("Time constant", timeConstantSeconds, "s");
        Given.Positive("Time constant", timeConstantSeconds.Value, "s");
        Given.Finite("Target temperature", target, "°C");
        if (now.Value <= target)
        {
            return new Estimate(0, 0);
        }

        var (left, above) = (target - air.Value, now.Value - air.Value);
        if (left <= 0)
        {
            throw new ArgumentException(
                $"A target of {Figures.Of(target, 4)} °C in air of {Figures.Of(air.Value, 4)} °C is never reached by cooling. Choose one above the air's."
            );
        }

        var tau = timeConstantSeconds.Value;
        var logarithm = Math.Log(above / left);
        return Combined.Of(
            tau * logarithm,
            [(timeConstantSeconds, logarithm), (now, tau / above), (air, tau / left - tau / above)]
        );
    }
}
