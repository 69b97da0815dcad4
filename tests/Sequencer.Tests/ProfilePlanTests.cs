using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.SequencerTests;

public sealed class ProfilePlanTests
{
    [Theory]
    [InlineData("profiles/output-verification.yaml", "profiles/benches/demo.yaml")]
    [InlineData("profiles/output-verification.yaml", "profiles/benches/demo-modbus-tcp.yaml")]
    [InlineData("profiles/return-acceptance.yaml", "profiles/benches/demo.yaml")]
    [InlineData("profiles/short-check.yaml", "profiles/benches/demo.yaml")]
    [InlineData("profiles/short-check.yaml", "profiles/benches/demo-modbus-tcp.yaml")]
    public void Every_shipped_profile_can_be_planned_on_the_demo_benches(string profile, string bench)
    {
        var plan = Planner.Plan(
            ProfileReader.Read(profile, Tree.Bytes(profile)).Value!,
            NameplateReader.Read("n", Tree.Bytes("profiles/nameplates/demo-300.yaml")).Value!,
            BenchReader.Read(bench, Tree.Bytes(bench), Tree.Definition).Value!
        );
        var findings = string.Join(
            "\n",
            plan.Findings.Where(f => f.Severity != Severity.Note).Select(f => $"{f.Severity}: {f}")
        );
        Assert.True(findings.Length == 0, findings);
    }

    [Fact]
    public void The_short_check_takes_less_than_forty_seconds()
    {
        var plan = Planner.Plan(
            ProfileReader.Read("p", Tree.Bytes("profiles/short-check.yaml")).Value!,
            NameplateReader.Read("n", Tree.Bytes("profiles/nameplates/demo-300.yaml")).Value!,
            BenchReader.Read("b", Tree.Bytes("profiles/benches/demo-modbus-tcp.yaml"), Tree.Definition).Value!
        );
        Assert.InRange(plan.Totals.Duration, TimeSpan.FromSeconds(5), TimeSpan.FromSeconds(40));
    }

    /// <summary>A limit says who set it: the profile, a document the profile names, and the plate its percentages rest on.</summary>
    [Fact]
    public void Document_a_limit_is_taken_from_is_in_the_plan_with_what_the_nameplate_gives()
    {
        var shipped = System.Text.Encoding.UTF8.GetString(Tree.Bytes("profiles/short-check.yaml"));
        var named = shipped
            .Replace("62 V to 80 V }", "62 V to 80 V, from: shop standard WS-7 }", StringComparison.Ordinal)
            .Replace("rated ratio ± 1 % }", "rated ratio ± 1 %, from: \"WS-8, 4.2\" }", StringComparison.Ordinal);

        Assert.Equal(["profile", "profile, on the nameplate's rated ratio"], Sources(shipped), StringComparer.Ordinal);
        Assert.Equal(
            ["shop standard WS-7, by the profile", "WS-8, 4.2, by the profile, on the nameplate's rated ratio"],
            Sources(named),
            StringComparer.Ordinal
        );
    }

    private static IEnumerable<string> Sources(string profile)
    {
        var plan = Planner.Plan(
            ProfileReader.Read("p", System.Text.Encoding.UTF8.GetBytes(profile)).Value!,
            NameplateReader.Read("n", Tree.Bytes("profiles/nameplates/demo-300.yaml")).Value!,
            BenchReader.Read("b", Tree.Bytes("profiles/benches/demo-modbus-tcp.yaml"), Tree.Definition).Value!
        );
        return plan.Groups.SelectMany(g => g.Limits).Select(l => l.Source);
    }
}
