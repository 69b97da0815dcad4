using System.CommandLine;

namespace LoadTest.Commands;

/// <summary>The verb <c>run</c>: one profile on one unit on one bench, from gate to report.</summary>
internal static class RunCommand
{
    public static Command Create()
    {
        var options = new RunOptions();
        return Verb.Create(
            "run",
            "Runs a profile: gate, steps, record, report. A real bench is run by a person at a terminal; a script answers on simulated ones only.",
            "loadtest run short-check.yaml demo-300.yaml demo.yaml --operator script --virtual-time",
            options.All,
            (parsed, screen) => options.Order(parsed, screen).CarryOut()
        );
    }
}
