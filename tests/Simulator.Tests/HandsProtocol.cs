namespace LoadTest.SimulatorTests;

/// <summary>What hands may do over a line, and that nothing moves without the secret.</summary>
public class HandsProtocol
{
    [Theory]
    [InlineData("engine start")]
    [InlineData("secret 00ff18")]
    [InlineData("secret")]
    [InlineData("truth amperes")]
    public void Nothing_is_obeyed_before_the_secret(string line)
    {
        using var rig = new Rig();
        Assert.StartsWith("no: ", rig.Ask("hands", line), StringComparison.Ordinal);
        rig.Time.Pass(20);
        Assert.False(rig.Bench.Truth.IsEngineRunning);
    }

    [Fact]
    public void New_connection_has_to_give_the_secret_again()
    {
        using var rig = Opened();
        Assert.Equal("ok", rig.Ask("hands", "output off"));
        rig.Bench.Hands.Connected();
        Assert.StartsWith("no: ", rig.Ask("hands", "output off"), StringComparison.Ordinal);
    }

    [Fact]
    public void Bench_without_a_secret_keeps_its_hands_locked()
    {
        using var bench = Simulator.SimulatedBench.Create(Simulator.Parameters.WorldFile.Demo(), new VirtualTime(), 1);
        var answers = 0;
        bench.Hands.Answer = _ => answers++;
        bench.Hands.Receive("secret \nengine start\n"u8);
        Assert.Equal(0, answers);
        Assert.False(bench.Truth.IsEngineRunning);
    }

    [Fact]
    public void Hands_bring_the_unit_to_load_and_read_its_panel()
    {
        using var rig = Opened();
        string[] lines = ["mode constant current", "engine start", "output on", "control 250 A"];
        foreach (var line in lines)
        {
            Assert.Equal("ok", rig.Ask("hands", line, 5));
        }

        rig.Close(0xFF);
        rig.Time.Pass(5);

        // Set 250 A: the panel says so, the truth is 1/0.982 of it, and a little more for dial, hand and panel.
        Assert.InRange(Value(rig.Ask("hands", "read panel amperes")), 249, 252);
        Assert.InRange(Value(rig.Ask("hands", "truth amperes")) * 0.982, 249, 252);
        Assert.Equal(250, Value(rig.Ask("hands", "read control")));
        Assert.Equal(255, Value(rig.Ask("hands", "truth elements")));
        Assert.Equal(0.982 * 0.12, Value(rig.Ask("hands", "truth unit ratio")), 1e-4);
    }

    [Theory]
    [InlineData("control 350 A", "no: 350 A is not on the dial; it goes from 30 A to 300 A.")]
    [InlineData("control 24 V", "no: in this mode the dial is marked in A, not V.")]
    [InlineData("mode pulse", "no: 'pulse' is not a mode; there are constant current, constant voltage and drooping.")]
    [InlineData("adjust feedback gain 2", "no: the trim goes from 0.9 to 1.1, not to 2.")]
    [InlineData("dance", "no: 'dance' is not understood; the lines are listed in simulator/README.md.")]
    [InlineData(
        "inject fault element-stuck-closed 9",
        "no: element-stuck-closed needs an element from 0 to 7; found 9."
    )]
    public void What_cannot_be_done_is_answered_with_the_reason(string line, string answer)
    {
        using var rig = Opened();
        Assert.Equal(answer, rig.Ask("hands", line));
    }

    [Fact]
    public void Faults_are_injected_at_a_time_and_cleared()
    {
        using var rig = Opened();
        Assert.Equal("ok", rig.Ask("hands", "inject fault late-reply dmm-1 500 2 at 10 s"));
        Assert.Equal("ok", rig.Ask("hands", "inject fault element-stuck-closed 3"));
        Assert.NotEmpty(rig.Ask("dmm-1", "*IDN?", 0.1));
        rig.Time.Pass(10);
        Assert.Empty(rig.Ask("dmm-1", "*IDN?", 0.4));
        Assert.Equal("ok", rig.Ask("hands", "clear"));
        Assert.Equal("ok", rig.Ask("hands", "inject fault busy 1"));
        Assert.Equal(Rig.Hex("81 06"), rig.Bank("01 00 00 00 08"));
        Assert.Equal(Rig.Hex("01 01 00"), rig.Bank("01 00 00 00 08"));
    }

    [Fact]
    public void Stop_button_can_be_pressed_and_released()
    {
        using var rig = Opened();
        rig.Close(3);
        rig.Ask("hands", "press stop");
        Assert.False(rig.Bench.AnyElementEnergised);
        rig.Ask("hands", "release stop");

        // Nothing comes back by itself.
        Assert.False(rig.Bench.AnyElementEnergised);
        rig.Close(3);
        Assert.True(rig.Bench.AnyElementEnergised);
    }

    private static Rig Opened()
    {
        var rig = new Rig();
        Assert.Equal("ok", rig.Ask("hands", "secret 00FF17"));
        return rig;
    }

    private static double Value(string answer)
    {
        Assert.StartsWith("value ", answer, StringComparison.Ordinal);
        return MeterProtocol.Number(answer["value ".Length..]);
    }
}
