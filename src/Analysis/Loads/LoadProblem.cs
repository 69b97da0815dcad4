using LoadTest.Analysis.Quantities;

namespace LoadTest.Analysis.Loads;

/// <summary>A request worked out: window of conductance, elements allowed, and the parts the search falls into.</summary>
internal sealed class LoadProblem
{
    public LoadProblem(LoadBank bank, LoadRequest request)
    {
        Bank = bank;
        Request = request;
        bank.CheckWithin(request.Present);
        bank.CheckWithin(request.Usable ?? bank.All);
        Wear = CheckedWear(bank, request.WearCounts);
        Wanted = request.Target.ResistanceOn(request.Source);
        Target = 1 / Wanted.Value;
        Check = new RatingCheck(bank, request.Source, request.Limits);
        Usable = request.Usable ?? bank.All;
        Allowed = Usable.Intersect(Check.SurvivesCeiling);
        PresentHolds = SwitchingRefusal.Of(Check, request.Present, "present") is null;
        if (!Allowed.IsEmpty)
        {
            var smallest = double.PositiveInfinity;
            foreach (var index in Allowed.Indices())
            {
                smallest = Math.Min(smallest, bank.Siemens[index]);
            }

            var (low, high) = request.Tolerance.Window(Wanted, smallest);
            // The open bank is no load step, however wide the tolerance.
            Low = Math.Max(low, double.Epsilon);
            High = Math.Min(high, Check.MostSiemens);
        }
    }

    public LoadBank Bank { get; }

    public LoadRequest Request { get; }

    public Ohms Wanted { get; }

    public double Target { get; }

    public double Low { get; }

    public double High { get; }

    public RatingCheck Check { get; }

    public ElementSet Usable { get; }

    public ElementSet Allowed { get; }

    public bool PresentHolds { get; }

    /// <summary>Switching operations each element has done so far, by index.</summary>
    public long[] Wear { get; }

    /// <summary>Parts that together hold every set in the window within its ratings, and no other.</summary>
    /// <remarks>
    /// A set is within its ratings when its conductance is at least the greatest need in it. For each need c within the
    /// window: elements that need no more than c, with at least c siemens. Usually there is one part.
    /// </remarks>
    public IEnumerable<Part> Parts() => PartsBetween(Allowed, Low, High);

    /// <summary>Parts over all conductances, for the nearest sets that keep every rating.</summary>
    public IEnumerable<Part> AllParts() => PartsBetween(Allowed, double.Epsilon, Check.MostSiemens);

    public SubsetSearch SearchOf(Part part) => new(Bank.Siemens, part.Allowed, Request.Present, Wear);

    private List<Part> PartsBetween(ElementSet among, double low, double high)
    {
        var floors = among.Indices().Select(p => Check.Standing[p]).Where(need => need <= high);
        var parts = new List<Part>();
        foreach (var floor in floors.Select(need => Math.Max(need / (1 + RatingCheck.Slack), low)).Distinct().Order())
        {
            var allowed = ElementSet.None;
            foreach (var index in among.Indices())
            {
                allowed = Check.Standing[index] / (1 + RatingCheck.Slack) <= floor ? allowed.With(index) : allowed;
            }

            parts.Add(new Part(allowed, floor, high));
        }

        return parts;
    }

    private static long[] CheckedWear(LoadBank bank, IReadOnlyList<long>? counts)
    {
        if (counts is null)
        {
            return new long[bank.Elements.Count];
        }

        if (counts.Count != bank.Elements.Count || counts.Any(c => c < 0))
        {
            throw new ArgumentException(
                $"{counts.Count} wear counts were given for {bank.Elements.Count} elements. Give one for each, none below zero."
            );
        }

        return [.. counts];
    }

    /// <summary>Elements and a window of conductance in S in which any set of them is within its ratings.</summary>
    internal sealed record Part(ElementSet Allowed, double Low, double High);
}
