using LoadTest.Sequencer.Profiles;

namespace LoadTest.Sequencer.Planning;

/// <summary>Every step of a profile, loops and groups opened once, for checks that need no order.</summary>
internal static class ProfileWalk
{
    public static IEnumerable<ProfileStep> All(LoadProfile profile) =>
        Flatten(profile.Steps)
            .Concat(profile.Points.OrderBy(p => p.Key, StringComparer.Ordinal).SelectMany(p => Flatten(p.Value)));

    public static IEnumerable<Expectation> Expectations(ProfileStep step) =>
        step switch
        {
            NoLoadStep s => s.Expect,
            CurveStep s => s.Expect,
            LoadLineStep s => s.Expect,
            ShuntSweepStep s => s.Expect,
            HoldStep s => s.Expect,
            HeatRunStep s => s.Expect,
            TransientStep s => s.Expect,
            AuxiliaryStep s => s.Expect,
            WeldAndAuxiliaryStep s => s.Expect,
            _ => [],
        };

    private static IEnumerable<ProfileStep> Flatten(IEnumerable<ProfileStep> steps) =>
        steps.SelectMany(s => s is ForEachStep each ? Flatten(each.Do) : [s]);
}
