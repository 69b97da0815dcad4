using System.Collections.Immutable;
using LoadTest.Analysis.Decision;
using LoadTest.Records.Journaling;
using LoadTest.Records.Results;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;

namespace LoadTest.Records;

/// <summary>What is concluded from a run: everything here follows from its journal alone.</summary>
public sealed record RunRecord
{
    /// <summary>The first entry: run, unit, program version, wall time of the start.</summary>
    public required RunOpened Opened { get; init; }

    /// <summary>Hash of the journal's last frame, lower-case hexadecimal.</summary>
    public required string Head { get; init; }

    /// <summary>How many frames the journal has.</summary>
    public required long Frames { get; init; }

    /// <summary>The first frame that could not be trusted; null when all of them can.</summary>
    public required BadFrame? Bad { get; init; }

    /// <summary>Whether every frame to the last entry can be trusted; where not, what missing frames could deny is unknown.</summary>
    public required bool IsWhole { get; init; }

    /// <summary>Version of the program that drew the conclusions.</summary>
    public required string Version { get; init; }

    /// <summary>The files the run depended on.</summary>
    public required ImmutableArray<EmbeddedFile> Files { get; init; }

    /// <summary>The plan, worked out again from those files; null when they do not give one.</summary>
    public required RunPlan? Plan { get; init; }

    /// <summary>Why there is no plan, or what else keeps the record from being whole; whole sentences.</summary>
    public required ImmutableArray<string> Trouble { get; init; }

    /// <summary>Results by group of points, in order of the plan.</summary>
    public required ImmutableArray<GroupResult> Groups { get; init; }

    /// <summary>What people looked at, measured, answered and adjusted.</summary>
    public required ImmutableArray<AskedResult> Asked { get; init; }

    /// <summary>Every judged result, in order of the plan.</summary>
    public required ImmutableArray<JudgedResult> Judged { get; init; }

    /// <summary>The verdict of the run; results as found do not count where there is one as left.</summary>
    public required Overall Overall { get; init; }

    /// <summary>The decision rule, in words.</summary>
    public required string DecisionRule { get; init; }

    /// <summary>Coverage probability of every expanded uncertainty.</summary>
    public required double Coverage { get; init; }

    /// <summary>What the budgets had to assume, whole sentences.</summary>
    public required ImmutableArray<string> Assumptions { get; init; }

    /// <summary>What the record says it is.</summary>
    public required Claim Claim { get; init; }

    /// <summary>Instruments and shunts with their certificates.</summary>
    public required ImmutableArray<BenchItem> Instruments { get; init; }

    /// <summary>Cautions acknowledged, in order.</summary>
    public required ImmutableArray<CautionAcknowledged> Cautions { get; init; }

    /// <summary>What the gate checked, in order.</summary>
    public required ImmutableArray<GateChecked> Gate { get; init; }

    /// <summary>Events worth a line in the report.</summary>
    public required ImmutableArray<RunEvent> Events { get; init; }

    /// <summary>Every trip, with what came of the removal.</summary>
    public required ImmutableArray<LoadTrip> Trips { get; init; }

    /// <summary>The last entry; null when the run was interrupted or its journal cut.</summary>
    public required RunClosed? Closed { get; init; }

    /// <summary>How the run ended; null: unknown.</summary>
    public Outcome? Outcome => Closed?.Outcome;

    /// <summary>What is known of the bank at the end; null: unknown, and to be taken for on.</summary>
    public BankEnd? Bank => Closed?.Bank;

    /// <summary>The last that was found of the load; null when nothing was.</summary>
    public LoadOff? Off { get; init; }

    /// <summary>Whether a command went out that may switch something on; null: unknown.</summary>
    public required bool? WasEnergised { get; init; }

    /// <summary>Time from opening to the last trusted entry.</summary>
    public required TimeSpan LastAt { get; init; }

    /// <summary>Time from opening to the last entry; null: unknown, at least <see cref="LastAt"/>.</summary>
    public TimeSpan? Duration => IsWhole ? LastAt : null;

    /// <summary>Volts at the studs over the run.</summary>
    public required RunTrace Volts { get; init; }

    /// <summary>Amperes by the reference shunt's rated ratio over the run.</summary>
    public required RunTrace Amperes { get; init; }

    /// <summary>Version of this build, as it goes into records.</summary>
    public static string Build => RecordBuilder.Version;

    /// <summary>Draws the conclusions from a journal.</summary>
    /// <param name="journal">Its trusted entries; the first is "run opened".</param>
    /// <exception cref="ArgumentException">Not one frame can be trusted, so nothing is known of the run.</exception>
    public static RunRecord Of(JournalContents journal) => RecordBuilder.Build(journal);
}
