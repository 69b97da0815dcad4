using BenchmarkDotNet.Running;
using LoadTest.Benchmarks;

// digits: the table of certified digits; analysis: fits, Monte Carlo and load solver in one
// run; curves: seeded curves with one wild reading; fits: knee fits beside another library; exchange: what one reading costs on our
// side of the wire; signal: from a signal to the first all-off byte; trip: from a bad reading to it; virtual-time: whole runs against real time; heap:
// memory of a 24-hour heat run, hour by hour; fuzz: inputs through every decoder; stale: exchanges whose replies go
// astray; replug: a serial line pulled and put back; wire: polls beside a bare loop;
// line-time: the simulated serial line beside its baud rate; scan: cost of ten scans a second; branches: branches that tests take, of coverlet's files;
// lateness: a run's signs of life beside those of a bare loop, both cores busy with a build;
// coverage N --from S: stated uncertainties against truth on drawn benches;
// mutants: dotnet-stryker's mutants, each against the tests that reach it; anything else: BenchmarkDotNet.
return args switch
{
    ["digits", ..] => CertifiedDigits.Run(),
    ["analysis", .. var rest] => AnalysisSpeed.Run(rest),
    ["curves", ..] => CurveShapes.Run(),
    ["fits", .. var rest] => FitSpeed.Run(rest),
    ["exchange", ..] => ExchangeSpeed.Run(),
    ["replug", .. var rest] => ReplugCycles.Show(rest),
    ["wire", ..] => WireSpeed.Run(),
    ["line-time", ..] => LineTime.Run(),
    ["scan", ..] => ScanCost.Run(),
    ["lateness", .. var rest] => Lateness.Run(rest),
    ["signal", .. var rest] => SignalSpeed.Run(rest),
    ["trip", .. var rest] => TripSpeed.Run(rest),
    ["virtual-time", ..] => VirtualTimeSpeed.Run(),
    ["fuzz", .. var rest] => Fuzz.Run(rest),
    ["stale", .. var rest] => Stale.Run(rest),
    ["branches", .. var rest] => BranchCoverage.Run(rest),
    ["coverage", .. var rest] => Coverage.Run(rest),
    ["mutants", .. var rest] => Mutants.Run(rest),
    ["heap", .. var rest] => HeapOverTime.Run(rest),
    _ => Benchmarked(args),
};

static int Benchmarked(string[] args)
{
    BenchmarkSwitcher.FromAssembly(typeof(Program).Assembly).Run(args);
    return 0;
}
