using System.Diagnostics;
using System.Globalization;
using LoadTest.InstrumentsTests.Fuzzing;

namespace LoadTest.Benchmarks;

/// <summary>Ten million inputs through every decoder of bytes from outside: none may crash, hang or allocate without bound.</summary>
internal static class Fuzz
{
    private static readonly TimeSpan Hang = TimeSpan.FromSeconds(10);

    /// <summary>`fuzz [INPUTS [DECODER [SEED [FOLDER TO KEEP INPUTS IN]]]]`; DECODER may be `all`.</summary>
    public static int Run(string[] args)
    {
        var inputs = args.Length > 0 ? long.Parse(args[0], CultureInfo.InvariantCulture) : 10_000_000;
        var name = args.Length > 1 ? args[1] : "all";
        var seed = args.Length > 2 ? ulong.Parse(args[2], CultureInfo.InvariantCulture) : 1;
        var chosen = Decoders.All.Where(d => name == "all" || d.Name == name).ToArray();
        if (chosen.Length == 0)
        {
            Console.Error.WriteLine(
                $"There is no decoder {name}; there are {string.Join(", ", Decoders.All.Select(d => d.Name))}."
            );
            return 2;
        }
        Console.WriteLine("decoder              inputs      s   inputs/s   ends   slowest ms   most bytes allocated");
        foreach (var decoder in chosen)
            Show(decoder, inputs, seed, args.Length > 3 ? args[3] : null);
        return 0;
    }

    private static void Show(Decoder decoder, long inputs, ulong seed, string? keepIn)
    {
        var corpus = Corpus.Of(Path.Combine(AppContext.BaseDirectory, "fuzz"), decoder);
        var watch = new Watch(decoder);
        var start = Stopwatch.GetTimestamp();
        var run = FuzzRun.Of(decoder, corpus, inputs, seed, watch.See);
        var seconds = Stopwatch.GetElapsedTime(start).TotalSeconds;
        watch.End();
        Console.WriteLine(
            string.Create(
                CultureInfo.InvariantCulture,
                $"{decoder.Name, -16} {run.Inputs, 10} {seconds, 6:0} {run.Inputs / seconds, 10:0} {run.Ends, 6} {run.Slowest.TotalMilliseconds, 12:0.0} {run.MostAllocated, 22}"
            )
        );
        if (keepIn is not null)
            Corpus.Keep(keepIn, decoder, run.Kept);
    }

    /// <summary>Ends the process with the input's bytes when one does not end.</summary>
    private sealed class Watch
    {
        private readonly Decoder _decoder;
        private readonly Timer _timer;
        private byte[] _now = [];
        private byte[]? _before;
        private TimeSpan _same;

        public Watch(Decoder decoder)
        {
            _decoder = decoder;
            _timer = new Timer(_ => Look(), null, TimeSpan.FromSeconds(1), TimeSpan.FromSeconds(1));
        }

        public void See(byte[] input) => Volatile.Write(ref _now, input);

        public void End() => _timer.Dispose();

        private void Look()
        {
            var now = Volatile.Read(ref _now);
            _same = ReferenceEquals(now, _before) ? _same + TimeSpan.FromSeconds(1) : TimeSpan.Zero;
            _before = now;
            if (_same >= Hang)
                Environment.FailFast($"{_decoder.Name} does not come to an end on {Convert.ToHexString(now)}");
        }
    }
}
