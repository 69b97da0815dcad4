using LoadTest.Reports;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;

namespace LoadTest.Commands;

/// <summary>A run as it goes, in plain lines: told of every entry of its journal.</summary>
/// <param name="screen">Where lines go.</param>
/// <param name="plan">The plan, for what steps belong to.</param>
/// <param name="isShort">Whether points of one group share a line.</param>
/// <param name="isSimulated">Whether the bench was proved simulated.</param>
internal sealed class Progress(Screen screen, RunPlan plan, bool isShort, bool isSimulated = true)
{
    private bool _isRemoved;
    private int _cautions;
    private int _checks;
    private string _group = "";

    /// <summary>The one way the load goes off at once, for what became of its all-offs; null where nobody told.</summary>
    public LoadRemoval? Removal { get; set; }

    /// <summary>Takes an entry.</summary>
    public void Take(JournalEntry entry)
    {
        switch (entry)
        {
            case CautionAcknowledged:
                _cautions++;
                break;
            case GateChecked check:
                _checks++;
                if (!check.Passed)
                    Say(entry, $"gate: {check.Check}: {check.Found}");
                break;
            case GatePassed { Half: 1 }:
                Say(
                    entry,
                    $"gate, engine stopped: {_cautions} cautions acknowledged, {_checks} checks passed.{(isSimulated ? $" {Report.SimulatedMark}." : "")}"
                );
                break;
            case GatePassed:
                Say(entry, "gate, engine running: voltage and proving load as expected.");
                break;
            case StepStarted step:
                Step(step);
                break;
            case PointMeasured { HasSettled: false } point:
                Say(entry, $"step {point.Step}: {point.Words}");
                break;
            case LoadRemoved removed:
                _isRemoved = true;
                Say(entry, $"{AllOff} ({removed.Cause.Code}): {removed.Cause.Detail}");
                break;
            case LoadOff { IsConfirmed: true } off:
                Say(entry, $"{(_isRemoved ? "LOAD REMOVED" : "load off")}: {off.Words}");
                if (_isRemoved)
                    Say(entry, OffWords.StillLive);
                break;
            case LoadOff off:
                Say(entry, $"LOAD OFF NOT CONFIRMED: {off.Words}");
                Say(entry, OffWords.Instruction);
                break;
            case Remarked remark:
                Say(entry, remark.Text);
                break;
        }
    }

    /// <summary>What can be said of all-off at the moment of the removal, before anything is read back.</summary>
    private string AllOff =>
        Removal?.AllOff.Written switch
        {
            null => "ALL-OFF ASKED FOR",
            0 => "ALL-OFF NOT WRITTEN YET",
            _ => "ALL-OFF WRITTEN",
        };

    private void Step(StepStarted step)
    {
        var planned = plan.Steps.FirstOrDefault(s => s.Number == step.Step);
        if (!isShort || planned is not PointStep point)
        {
            _group = "";
            Say(step, $"step {step.Step} of {plan.Steps.Length}: {step.Title}");
            return;
        }
        var group = plan.Groups[point.Group - 1];
        if (group.Title == _group)
            return;
        _group = group.Title;
        var last = plan.Steps.OfType<PointStep>().Where(s => s.Group == point.Group).Max(s => s.Number);
        Say(
            step,
            last == step.Step
                ? $"step {step.Step} of {plan.Steps.Length}: {group.Title}"
                : $"steps {step.Step} to {last} of {plan.Steps.Length}: {group.Title}"
        );
    }

    private void Say(JournalEntry entry, string text) => screen.Line($"{ReportNumber.Time(entry.At), 8}  {text}");
}
