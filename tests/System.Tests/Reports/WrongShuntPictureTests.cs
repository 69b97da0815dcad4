using System.Xml.Linq;
using LoadTest.Reports;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;
using LoadTest.SystemTests.Stack;

namespace LoadTest.SystemTests.Reports;

public sealed class WrongShuntPictureTests
{
    // What is wrong with the simulated unit's shunt stands outside the tool: it shares no code with the simulator.
    [Theory]
    [InlineData(-1.8, "wrong: the machine's own shunt or its wiring, reads low")]
    [InlineData(3.0, "wrong: the machine's own shunt or its wiring, reads high")]
    [InlineData(0.0, "set, indicated and actual agree")]
    public void Picture_of_set_indicated_and_actual_says_which_is_wrong(double errorPercent, string words)
    {
        using var run = StackRun.Of(
            "output-verification",
            async r =>
            {
                r.Strike("shunt-ratio-off", value: errorPercent);
                await r.Until(_ => r.Entries.Any(e => e is Asked { Question.Action: HandAction.Adjust }));
                r.Engine.Stop("A. Invented", "as found is enough");
            }
        );

        var picture = RunPlots
            .Of(run.Record)
            .First(p => p.Name.StartsWith("set-indicated-actual", StringComparison.Ordinal));
        var texts = XDocument.Parse(picture.Svg).Descendants().Where(e => e.Name.LocalName == "text");
        Assert.Contains(texts, t => t.Value.Trim().StartsWith($"{words} (", StringComparison.Ordinal));
        Assert.Contains(
            errorPercent == 0 ? "Set, indicated and actual agree." : "Set and indicated agree, actual does not",
            picture.Caption,
            StringComparison.Ordinal
        );
    }
}
