using System.Collections.Immutable;
using System.Security.Cryptography;

namespace LoadTest.Hunting;

/// <summary>The whole stack on many seeds, each with mishaps of its own, every invariant held after every event.</summary>
internal static class Hunt
{
    /// <summary>Seeds between two lines of progress.</summary>
    private const int ProgressEvery = 1000;

    /// <summary>Longest one seed may take in real time, far more than a run of the longest plan does. Beyond it its thread is blocked.</summary>
    private static readonly TimeSpan Longest = TimeSpan.FromMinutes(10);

    private static readonly TimeSpan LookEvery = TimeSpan.FromSeconds(1);

    /// <summary>No seed brings more.</summary>
    private const int MostMishaps = 8;

    /// <summary>Hunts through seeds, beginning with a first one, on several threads with a pump each.</summary>
    /// <param name="seeds">How many.</param>
    /// <param name="from">The first.</param>
    /// <param name="threads">Threads; the result does not depend on how many.</param>
    /// <param name="goesOn">Whether seeds after a failing one are run too.</param>
    /// <param name="progress">Told now and then how many seeds are done; from any thread.</param>
    /// <param name="planted">Faults planted by tests.</param>
    /// <exception cref="InvalidOperationException">A seed blocks its thread, or broke the hunt itself; the text names it.</exception>
    /// <returns>What was found: with a violation, the first failing seed, and every seed before it is done.</returns>
    public static HuntResult Run(
        int seeds,
        ulong from,
        int threads,
        bool goesOn = false,
        Action<int>? progress = null,
        Planted? planted = null
    )
    {
        var plans = HuntPlan.All();
        var began = TimeProvider.System.GetTimestamp();
        var work = new Work(plans, from, seeds, threads, planted ?? Planted.None, goesOn, progress);
        var hunters = Enumerable
            .Range(0, Math.Clamp(seeds, 1, threads))
            .Select(k => new Thread(() => work.Do(k)) { IsBackground = true, Name = $"hunt {k}" })
            .ToArray();
        foreach (var hunter in hunters)
            hunter.Start();
        foreach (var hunter in hunters)
        {
            while (!hunter.Join(LookEvery))
                work.LookForBlocked();
        }
        return work.Result(TimeProvider.System.GetElapsedTime(began));
    }

    /// <summary>One seed alone, to look at it.</summary>
    /// <param name="seed">The seed.</param>
    /// <param name="planted">Faults planted by tests.</param>
    /// <param name="only">Which of its mishaps may happen, bit k = mishap k; all when left out.</param>
    public static SeedEnd RunSeed(ulong seed, Planted? planted = null, ulong only = ulong.MaxValue) =>
        SeedRun.Run(HuntPlan.All(), seed, planted ?? Planted.None, only);

    /// <summary>The fewest mishaps with which a failing seed still fails: one after the other is left out while it does.</summary>
    /// <returns>Which are left, bit k = mishap k, and how it ends with those alone.</returns>
    public static (ulong Only, SeedEnd End) Shrink(SeedEnd failing, Planted? planted = null)
    {
        var seed = failing.Violation?.Seed ?? throw new ArgumentException("The seed does not fail.", nameof(failing));
        var (only, end) = (ulong.MaxValue >> (64 - MostMishaps), failing);
        for (var k = MostMishaps - 1; k >= 0; k--)
        {
            var fewer = RunSeed(seed, planted, only & ~(1UL << k));
            if (fewer.Violation is not null)
                (only, end) = (only & ~(1UL << k), fewer);
        }
        return (only, end);
    }

    /// <summary>The seeds of a hunt and what came of them, shared by its threads.</summary>
    private sealed class Work(
        HuntPlans plans,
        ulong from,
        int seeds,
        int threads,
        Planted planted,
        bool goesOn,
        Action<int>? progress
    )
    {
        private readonly Lock _gate = new();
        private readonly SortedDictionary<string, int> _ends = new(StringComparer.Ordinal);
        private readonly Dictionary<ulong, string> _sums = [];
        private readonly List<TimeSpan> _energised = [];
        private readonly List<TimeSpan> _spans = [];
        private readonly SortedDictionary<ulong, SeedEnd> _failing = [];
        private readonly Coverage _coverage = new();
        private readonly (ulong Seed, long Since)?[] _running = new (ulong, long)?[Math.Max(1, threads)];
        private int _next;
        private int _done;
        private long _events;
        private int _mishaps;
        private TimeSpan _span;
        private InvalidOperationException? _trouble;

        /// <summary>Takes seed after seed until none is left before the first failing one.</summary>
        /// <param name="hunter">Which of the threads this is.</param>
        public void Do(int hunter)
        {
            var seed = from;
            try
            {
                while (Take(hunter) is { } next)
                    Note(seed = next, SeedRun.Run(plans, next, planted));
            }
            catch (Exception trouble)
            {
                lock (_gate)
                    _trouble ??= new InvalidOperationException(
                        $"Seed {seed} broke the hunt: {trouble.Message}",
                        trouble
                    );
            }
        }

        /// <summary>A thread that waits for something outside its pump would wait for ever, and say nothing.</summary>
        public void LookForBlocked()
        {
            lock (_gate)
            {
                foreach (var running in _running)
                {
                    if (running is { } run && TimeProvider.System.GetElapsedTime(run.Since) > Longest)
                        throw new InvalidOperationException(
                            $"Seed {run.Seed} has not come back for {Longest.TotalMinutes:0} min of real time: it blocks its thread. Run it alone with a debugger: loadtest hunt --seeds 1 --from {run.Seed}"
                        );
                }
            }
        }

        public HuntResult Result(TimeSpan took)
        {
            if (_trouble is { } trouble)
                throw trouble;
            return new HuntResult(
                _done,
                [.. _failing.Values],
                _ends.ToImmutableSortedDictionary(StringComparer.Ordinal),
                _sums.ToImmutableSortedDictionary(),
                _mishaps,
                _events,
                Median(_energised),
                Median(_spans),
                _span,
                took,
                _coverage
            );
        }

        private static TimeSpan Median(List<TimeSpan> spans)
        {
            spans.Sort();
            return spans.Count == 0 ? TimeSpan.Zero : spans[spans.Count / 2];
        }

        private ulong? Take(int hunter)
        {
            lock (_gate)
            {
                // Seeds are taken in order, so those before the first failing one are done or in work.
                var isMore = (goesOn || _failing.Count == 0) && _trouble is null && _next < seeds;
                ulong? seed = isMore ? from + (ulong)_next++ : null;
                _running[hunter] = seed is { } taken ? (taken, TimeProvider.System.GetTimestamp()) : null;
                return seed;
            }
        }

        private void Note(ulong seed, SeedEnd end)
        {
            int done;
            var sum = $"{Convert.ToHexStringLower(SHA256.HashData(end.Journal.Span))} {end.Words}";
            lock (_gate)
            {
                done = ++_done;
                _sums[seed] = sum;
                _ends[end.Words] = _ends.GetValueOrDefault(end.Words) + 1;
                _mishaps += end.Mishaps;
                _coverage.Add(end.Strikes);
                _events += end.Events;
                _span += end.Span;
                if (end.Run > TimeSpan.Zero)
                    _spans.Add(end.Run);
                if (end.WasOn)
                    _energised.Add(end.Energised);
                if (end.Violation is { } found)
                    _failing.Add(found.Seed, end);
            }
            if (done % ProgressEvery == 0)
                progress?.Invoke(done);
        }
    }
}
