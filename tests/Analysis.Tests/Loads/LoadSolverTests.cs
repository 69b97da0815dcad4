using LoadTest.Analysis.Loads;
using LoadTest.Analysis.Quantities;

namespace LoadTest.AnalysisTests.Loads;

public sealed class LoadSolverTests
{
    [Fact]
    public void Parallel_elements_make_the_wanted_resistance()
    {
        // Ohm and Kirchhoff: 1 Ω beside 0.25 Ω is 0.2 Ω; 150 A on it is 30 V, 30 A and 120 A.
        var found = Found(Banks.Of(1, 0.5, 0.25), Banks.Wanted(0.2, Banks.Current(150)));

        Assert.Equal(ElementSet.Of(0, 2), found.Set);
        Assert.Equal(0.2, found.Achieved.Value, 12);
        Assert.Equal(30, found.Volts.Value, 9);
        Assert.Equal(150, found.Amperes.Value, 9);
        Assert.Equal([30.0, 120.0], found.Loadings.Select(l => Math.Round(l.Amperes.Value, 9)));
        Assert.Equal(4500, found.Watts.Value, 6);
        Assert.True(found.Regulates);
    }

    [Fact]
    public void Wanted_current_on_constant_voltage_becomes_a_resistance()
    {
        var request = new LoadRequest(new WantedCurrent(new Amperes(280)), Banks.Voltage(28), Banks.Quick);

        Assert.Equal(0.1, Found(Banks.Of(0.2, 0.2, 0.4), request).Achieved.Value, 12);
    }

    [Fact]
    public void Wanted_power_on_constant_voltage_becomes_a_resistance()
    {
        var request = new LoadRequest(new WantedPower(new Watts(7840)), Banks.Voltage(28), Banks.Quick);

        Assert.Equal(0.1, Found(Banks.Of(0.2, 0.2, 0.4), request).Achieved.Value, 12);
    }

    [Fact]
    public void Wanted_current_and_power_on_a_drooping_line_meet_on_it()
    {
        var source = new Drooping(new Volts(80), new Ohms(0.16));
        var ohms = new WantedCurrent(new Amperes(300)).ResistanceOn(source);

        Assert.Equal(32.0 / 300, ohms.Value, 12);
        Assert.Equal(32, source.VoltsOn(ohms).Value, 9);
        // 9600 W is met at 300 A (32 V) and at 200 A (48 V); the lower current is taken.
        Assert.Equal(48.0 / 200, new WantedPower(new Watts(9600)).ResistanceOn(source).Value, 9);
    }

    [Fact]
    public void Current_of_a_constant_current_source_is_never_chased_with_the_bank()
    {
        var request = new LoadRequest(new WantedCurrent(new Amperes(300)), Banks.Current(250), Banks.Quick);

        var refusal = Assert.Throws<ArgumentException>(() => LoadSolver.Solve(Banks.Of(1, 1), request));
        Assert.Contains("Its control sets the amperes", refusal.Message);
    }

    [Fact]
    public void Tolerance_is_half_the_smallest_element_when_that_is_more()
    {
        // 10 S wanted; 1 S is the smallest element, so 9.5 S to 10.5 S will do, and what is closed already stays.
        var bank = Banks.Of(0.2, 0.2, 1, 10.0 / 4.6);
        var request = Banks.Wanted(0.1, Banks.Voltage(28)) with { Present = ElementSet.Of(0, 1) };

        Assert.Equal(ElementSet.Of(0, 1), Found(bank, request).Set);
        Assert.Empty(Found(bank, request).Order.Operations);
    }

    [Fact]
    public void Least_switching_comes_before_least_error()
    {
        // 4 × 0.4 Ω present make 0.1 Ω exactly with one more 40 Ω off; wanted 0.0999 Ω lies within 0.2 %.
        var bank = Banks.Of(0.4, 0.4, 0.4, 0.4, 99.9);
        var request = Banks.Wanted(0.0999, Banks.Voltage(28)) with { Present = ElementSet.Of(0, 1, 2, 3) };

        var found = Found(bank, request);

        Assert.Equal(request.Present, found.Set);
        Assert.Equal(0.1 / 0.0999 - 1, found.RelativeError, 12);
    }

    [Fact]
    public void Evenest_wear_chooses_among_equal_elements()
    {
        var request = Banks.Wanted(0.5, Banks.Voltage(28)) with { WearCounts = [9, 2, 7, 3] };

        Assert.Equal(ElementSet.Of(1, 3), Found(Banks.Of(1, 1, 1, 1), request).Set);
    }

    [Fact]
    public void An_element_below_the_volts_it_would_see_is_left_out()
    {
        // 200 A on 0.2 Ω is 40 V: the 30 V elements, which survive the ceiling only for a second, may not stand there.
        var weak = Banks.Element("W", 0.2, volts: 30) with
        {
            ShortTime = new ShortTimeRating(new Volts(90), TimeSpan.FromSeconds(2)),
        };
        var bank = new LoadBank([weak, Banks.Element("A", 0.4), Banks.Element("B", 0.4)]);

        Assert.Equal("A + B", bank.NamesOf(Found(bank, Banks.Wanted(0.2, Banks.Current(200))).Set));
        Assert.Equal("W", bank.NamesOf(Found(bank, Banks.Wanted(0.2, Banks.Current(140))).Set));
    }

    [Fact]
    public void An_element_that_does_not_survive_the_ceiling_until_load_off_is_never_used()
    {
        var bank = new LoadBank([Banks.Element("W", 0.2, volts: 79), Banks.Element("A", 0.4), Banks.Element("B", 0.4)]);

        Assert.Equal("A + B", bank.NamesOf(Found(bank, Banks.Wanted(0.2, Banks.Current(140))).Set));
    }

    [Fact]
    public void A_rating_met_exactly_is_met()
    {
        // 1.6 Ω of 4 kW bears √(4000·1.6) = 80 V.
        var element = new LoadElement("P", new Ohms(1.6)) { RatedWatts = new Watts(4000) };

        var found = Found(new LoadBank([element]), Banks.Wanted(1.6, Banks.Current(50)));

        Assert.Equal(1, Assert.Single(found.Loadings).PartOfRating, 12);
    }

    [Fact]
    public void Nothing_low_enough_says_what_the_whole_bank_makes()
    {
        var none = NotFound(Banks.Of(1, 1), Banks.Wanted(0.3, Banks.Current(100)));

        Assert.Contains("every usable element together makes 0.5 Ω", none.Reason);
        Assert.Equal(0.5, none.NearestAbove!.Value.Value, 12);
        Assert.Null(none.NearestBelow);
    }

    [Fact]
    public void A_gap_names_the_resistances_on_either_side()
    {
        var request = Banks.Wanted(0.7, Banks.Voltage(28)) with { Tolerance = new ResistanceTolerance(0.002, 0) };

        var none = NotFound(Banks.Of(1, 1, 1), request);

        Assert.Equal(0.5, none.NearestBelow!.Value.Value, 12);
        Assert.Equal(1, none.NearestAbove!.Value.Value, 12);
    }

    [Fact]
    public void A_set_forbidden_by_ratings_is_named_with_the_overloaded_element()
    {
        var weak = Banks.Element("W", 0.2, volts: 30) with
        {
            ShortTime = new ShortTimeRating(new Volts(90), TimeSpan.FromSeconds(2)),
        };
        var none = NotFound(new LoadBank([weak, weak with { Id = "V" }]), Banks.Wanted(0.2, Banks.Current(200)));

        Assert.Contains("40 V on element", none.Reason);
        Assert.Contains("rated 30 V continuously", none.Reason);
        Assert.Equal(0.1, none.NearestBelow!.Value.Value, 12);
        Assert.Contains("higher rating", none.Help);
    }

    [Fact]
    public void No_element_for_the_ceiling_says_so()
    {
        var none = NotFound(new LoadBank([Banks.Element("A", 0.4, volts: 60)]), Banks.Wanted(0.4, Banks.Current(100)));

        Assert.Contains("No element bears the source's ceiling of 80 V for the 1 s to load off", none.Reason);
    }

    [Fact]
    public void The_best_set_that_can_be_reached_is_taken_when_the_best_cannot()
    {
        // From an open bank the first element sees 80 V in passing; W bears 60 V. W + X would have the least wear.
        var weak = Banks.Element("W", 1, volts: 60) with
        {
            ShortTime = new ShortTimeRating(new Volts(80), TimeSpan.FromSeconds(1)),
        };
        var bank = new LoadBank([weak, weak with { Id = "X" }, Banks.Element("A", 1)]);
        var slow = new SwitchingLimits(TimeSpan.FromSeconds(2), TimeSpan.FromSeconds(1));
        var request = Banks.Wanted(0.5, Banks.Current(100)) with { Limits = slow, WearCounts = [0, 0, 9] };

        var found = Found(bank, request);

        Assert.Equal("A", found.Order.Operations[0].Id);
        Assert.Equal(2, found.Set.Count);
        Assert.True(found.Set.Contains(2));
        Assert.Equal(ElementSet.Of(0, 1), Found(bank, request with { SwitchedDead = true }).Set);
    }

    [Theory]
    [InlineData(double.NaN)]
    [InlineData(0)]
    [InlineData(-1)]
    [InlineData(double.PositiveInfinity)]
    public void A_wish_that_is_no_resistance_is_refused(double ohms) =>
        Assert.Throws<ArgumentException>(() => LoadSolver.Solve(Banks.Of(1), Banks.Wanted(ohms, Banks.Current(1))));

    private static LoadFound Found(LoadBank bank, LoadRequest request) =>
        Assert.IsType<LoadFound>(LoadSolver.Solve(bank, request));

    private static LoadNotFound NotFound(LoadBank bank, LoadRequest request) =>
        Assert.IsType<LoadNotFound>(LoadSolver.Solve(bank, request));
}
