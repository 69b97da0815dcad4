using LoadTest.Analysis.Loads;

namespace LoadTest.Sequencer.Journal;

/// <summary>Something found that the record has to show, by the program or by a person.</summary>
/// <param name="Step">Step of the plan it belongs to; 0 for none.</param>
/// <param name="Who">Who found it; empty for the program itself.</param>
/// <param name="Text">What was found, with values and units.</param>
public sealed record FindingMade(TimeSpan At, int Step, string Who, string Text) : JournalEntry(At);

/// <summary>A person took an earlier answer back and gave another; the earlier one stays where it is.</summary>
/// <param name="Question">Number of the question answered before.</param>
/// <param name="Answer">The answer that counts from now on; its <see cref="Ports.Answer.Who"/> corrected.</param>
/// <param name="Why">Reason, never empty.</param>
public sealed record AnswerCorrected(TimeSpan At, int Question, Ports.Answer Answer, string Why) : JournalEntry(At);

/// <summary>A person's own words for the record.</summary>
public sealed record Noted(TimeSpan At, string Who, string Text) : JournalEntry(At);

/// <summary>A limit was crossed where nothing here can remove the load: open until a person answers it.</summary>
/// <param name="Alarm">Number of the alarm within the run, from 1.</param>
/// <param name="Code">Short code, as in <see cref="Engine.RemovalCause"/>.</param>
/// <param name="Text">What was crossed, and what to do now.</param>
public sealed record AlarmRaised(TimeSpan At, int Alarm, string Code, string Text) : JournalEntry(At);

/// <summary>What a person did about an alarm.</summary>
/// <param name="Alarm">Number of the alarm.</param>
/// <param name="Who">Who answered.</param>
/// <param name="Did">What was done, in that person's words.</param>
public sealed record AlarmAnswered(TimeSpan At, int Alarm, string Who, string Did) : JournalEntry(At);

/// <summary>How a bank switched by hand stands, as a person says.</summary>
/// <param name="Elements">Elements whose switches stand at on.</param>
/// <param name="Who">Who said so.</param>
public sealed record HandSwitched(TimeSpan At, ElementSet Elements, string Who) : JournalEntry(At);

/// <summary>A caution of bench or person that was acknowledged earlier in the shift and holds for this run too.</summary>
/// <param name="Caution">The caution's short name.</param>
/// <param name="Who">Who acknowledged it then.</param>
/// <param name="RunId">Run whose journal holds the acknowledgement.</param>
/// <param name="Frame">Hash of the frame that holds it, 64 lower-case hexadecimal digits.</param>
public sealed record AcknowledgementTakenOver(TimeSpan At, string Caution, string Who, string RunId, string Frame)
    : JournalEntry(At);

/// <summary>For whom and under which order the unit is tested.</summary>
/// <param name="Customer">Customer; may be empty.</param>
/// <param name="Order">Order number; may be empty.</param>
/// <param name="Hours">Engine hours by the unit's own counter, h, not below zero; null when not read.</param>
/// <param name="Receipt">How the unit came in, in words; may be empty.</param>
public sealed record JobNamed(TimeSpan At, string Customer, string Order, double? Hours, string Receipt)
    : JournalEntry(At);

/// <summary>What is to become of an adjustment, judged on the results as found or as left.</summary>
public enum AdjustmentVerdict
{
    /// <summary>Within its limits as found: nothing is turned.</summary>
    NotNeeded,

    /// <summary>Outside or undecided: adjust.</summary>
    Needed,

    /// <summary>Within its limits as left.</summary>
    Done,

    /// <summary>Not brought within its limits.</summary>
    GivenUp,
}

/// <summary>An adjustment was judged.</summary>
/// <param name="Step">Step of the plan that adjusts.</param>
/// <param name="Verdict">What is to become of it.</param>
/// <param name="Who">Who decided; empty for the program itself.</param>
/// <param name="Text">On what it rests, with values and units.</param>
public sealed record AdjustmentJudged(TimeSpan At, int Step, AdjustmentVerdict Verdict, string Who, string Text)
    : JournalEntry(At);

/// <summary>A file beside the journal belongs to the run: a photo, a certificate, a drawing.</summary>
/// <param name="Name">Name within the run's folder.</param>
/// <param name="Length">Its length, bytes.</param>
/// <param name="Sha256">SHA-256 of its bytes, 64 lower-case hexadecimal digits.</param>
public sealed record FileAttached(TimeSpan At, string Name, long Length, string Sha256) : JournalEntry(At);

/// <summary>One temperature of a heat run: the mean of the readings between two times.</summary>
/// <param name="Step">Step of the plan.</param>
/// <param name="Celsius">Temperature, °C.</param>
/// <param name="From">First time that counts.</param>
/// <param name="To">Last time that counts.</param>
public sealed record HeatSampled(TimeSpan At, int Step, double Celsius, TimeSpan From, TimeSpan To) : JournalEntry(At);
