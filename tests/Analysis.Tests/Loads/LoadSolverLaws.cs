using CsCheck;
using LoadTest.Analysis.Loads;
using LoadTest.Analysis.Quantities;

namespace LoadTest.AnalysisTests.Loads;

public sealed class LoadSolverLaws
{
    private static readonly Gen<LoadElement> Elements =
        from ohms in Gen.OneOf(Gen.Double[0.2, 4], Gen.OneOf(0.5, 1.0, 2.0))
        from volts in Gen.OneOf(25.0, 40.0, 60.0, 100.0)
        from brief in Gen.OneOf(0.0, 70.0, 100.0)
        select new LoadElement("?", new Ohms(ohms))
        {
            RatedVolts = new Volts(volts),
            ShortTime = brief > 0 ? new ShortTimeRating(new Volts(brief), TimeSpan.FromSeconds(1)) : null,
        };

    private static readonly Gen<SourceCharacteristic> Sources =
        from kind in Gen.Int[0, 2]
        from amperes in Gen.Double[20, 300]
        from volts in Gen.Double[15, 60]
        select kind switch
        {
            0 => Banks.Current(amperes, 65),
            1 => Banks.Voltage(volts, amperes * 3, 65),
            _ => (SourceCharacteristic)new Drooping(new Volts(65), new Ohms(20 / amperes)),
        };

    // Rated between the step's volts and the ceiling, with little room in amperes.
    private static readonly Gen<(LoadBank Bank, LoadRequest Request)> Bounded =
        from ohms in Gen.OneOf(0.75, 1.0, 1.5).Array[9]
        from volts in Gen.Double[30, 75].Array[9]
        from wear in Gen.Long[0, 5].Array[9]
        from present in Gen.Frequency((1, Gen.Const(0u)), (1, Gen.UInt[0, 511]))
        from pick in Gen.UInt[1, 511]
        from room in Gen.Double[1.001, 1.15]
        let bank = new LoadBank(
            ohms.Select(
                (r, k) =>
                    Banks.Element($"E{k}", r, volts[k]) with
                    {
                        ShortTime = new ShortTimeRating(new Volts(80), TimeSpan.FromSeconds(1)),
                    }
            )
        )
        let wanted = bank.ResistanceOf(new ElementSet(pick)).Value
        let source = new Drooping(new Volts(80), new Ohms((80 / 29.0 - 1) * wanted))
        select (
            bank,
            Banks.Wanted(wanted, source) with
            {
                Present = new ElementSet(present),
                WearCounts = wear,
                Limits = new SwitchingLimits(TimeSpan.FromSeconds(0.3), TimeSpan.FromSeconds(1))
                {
                    MostAmperes = new Amperes(29 / wanted * room),
                },
            }
        );

    private static Gen<(LoadBank Bank, LoadRequest Request)> Cases(int most, int least = 1) =>
        from elements in Elements.Array[least, most]
        from source in Sources
        from present in Gen.Frequency((1, Gen.Const(0u)), (2, Gen.UInt))
        from usable in Gen.Frequency((3, Gen.Const(uint.MaxValue)), (1, Gen.UInt))
        from wear in Gen.Long[0, 3].Array[elements.Length]
        from pick in Gen.UInt[1, uint.MaxValue]
        from off in Gen.Double[0.97, 1.03]
        from slow in Gen.Bool
        from amperes in Gen.OneOf(0.0, 250.0)
        from dead in Gen.Frequency((7, Gen.Const(false)), (1, Gen.Const(true)))
        let bank = new LoadBank(elements.Select((e, k) => e with { Id = $"E{k}" }))
        let picked = new ElementSet(pick & bank.All.Mask)
        let ohms = picked.IsEmpty ? 1 : bank.ResistanceOf(picked).Value * off
        let limits = new SwitchingLimits(TimeSpan.FromSeconds(slow ? 2 : 0.05), TimeSpan.FromSeconds(0.5))
        select (
            bank,
            Banks.Wanted(ohms, source) with
            {
                Present = new ElementSet(present & bank.All.Mask),
                Usable = new ElementSet(usable & bank.All.Mask),
                WearCounts = wear,
                SwitchedDead = dead,
                Limits = limits with { MostAmperes = amperes > 0 ? new Amperes(amperes) : null },
            }
        );

    [Fact]
    public void The_solver_is_never_beaten_by_brute_force() =>
        Cases(9)
            .Sample(
                c =>
                {
                    var answer = LoadSolver.Solve(c.Bank, c.Request);
                    var best = BruteForce.Best(c.Bank, c.Request);
                    Same(c.Bank, c.Request, best, answer);
                },
                iter: 3000
            );

    [Fact]
    public void The_solver_is_never_beaten_by_brute_force_on_twelve_elements() =>
        Cases(12, 12)
            .Sample(
                c => Same(c.Bank, c.Request, BruteForce.Best(c.Bank, c.Request), LoadSolver.Solve(c.Bank, c.Request)),
                iter: 150
            );

    [Fact]
    public void Where_the_first_choice_has_no_order_the_best_that_has_one_is_taken()
    {
        // Equal elements of unequal strength from an open bank: the first to close sees the ceiling, which few stand.
        var detours = 0;
        Gen.Select(Gen.OneOf(40.0, 60.0, 100.0).Array[8], Gen.Long[0, 5].Array[8], Gen.Int[2, 6], Gen.Double[0.9, 1])
            .Sample(
                (volts, wear, count, part) =>
                {
                    var bank = new LoadBank(
                        volts.Select(
                            (v, k) =>
                                Banks.Element($"E{k}", 1, v) with
                                {
                                    ShortTime = new ShortTimeRating(new Volts(100), TimeSpan.FromSeconds(1)),
                                }
                        )
                    );
                    var request = Banks.Wanted(1.0 / count, Banks.Current(38 * part * count)) with
                    {
                        WearCounts = wear,
                        Limits = new SwitchingLimits(TimeSpan.FromSeconds(2), TimeSpan.FromSeconds(1)),
                    };

                    var best = BruteForce.Best(bank, request);
                    Same(bank, request, best, LoadSolver.Solve(bank, request));

                    if (
                        best is { } some
                        && some.Wear > BruteForce.Best(bank, request with { SwitchedDead = true })!.Value.Wear
                    )
                    {
                        Interlocked.Increment(ref detours);
                    }
                },
                iter: 2000
            );
        Assert.True(detours > 100, $"{detours} detours");
    }

    [Fact]
    public void Elements_taken_out_of_service_are_opened_in_an_order_that_holds()
    {
        // Some of those closed have to go; while they go, the weak among them still need the volts held down.
        var detours = 0;
        Gen.Select(
                Gen.OneOf(30.0, 40.0, 60.0, 120.0).Array[9],
                Gen.Long[0, 5].Array[9],
                Gen.Select(Gen.UInt[1, 511], Gen.UInt[1, 511], (a, b) => a | b),
                Gen.Select(Gen.UInt[1, 511], Gen.UInt[1, 511], (a, b) => a | b),
                Gen.Int[1, 3]
            )
            .Sample(
                (volts, wear, present, usable, count) =>
                {
                    var bank = new LoadBank(
                        volts.Select(
                            (v, k) =>
                                Banks.Element($"E{k}", 1, v) with
                                {
                                    ShortTime = new ShortTimeRating(new Volts(100), TimeSpan.FromSeconds(1)),
                                }
                        )
                    );
                    // 30 V, 40 V, 60 V and 120 V need 4, 3, 2 and no S at 120 A under 80 V.
                    var request = Banks.Wanted(1.0 / count, Banks.Current(120)) with
                    {
                        Present = new ElementSet(present),
                        Usable = new ElementSet(usable),
                        WearCounts = wear,
                        Limits = new SwitchingLimits(TimeSpan.FromSeconds(2), TimeSpan.FromSeconds(1)),
                    };

                    var best = BruteForce.Best(bank, request);
                    Same(bank, request, best, LoadSolver.Solve(bank, request));

                    if (
                        best is { } some
                        && some.Set != BruteForce.Best(bank, request with { SwitchedDead = true })!.Value.Set
                    )
                    {
                        Interlocked.Increment(ref detours);
                    }
                },
                iter: 9000
            );
        Assert.True(detours > 20, $"{detours} detours");
    }

    [Fact]
    public void States_listed_from_the_present_set_and_states_asked_from_the_target_agree()
    {
        var (led, all) = (0, 0);
        (from c in Cases(8) where c.Request.Limits.MostAmperes is not null && !c.Request.SwitchedDead select c).Sample(
            c =>
            {
                var problem = new LoadProblem(c.Bank, c.Request);
                if (!problem.PresentHolds || problem.Allowed.IsEmpty)
                {
                    return;
                }

                // Every order of so many operations judged by one duration, as the solver asks at one distance.
                for (var distance = 1; distance <= c.Bank.Elements.Count; distance++)
                {
                    var needs = problem.Check.Passing(distance);
                    var listed = new Passages(problem, needs);
                    var asked = new Passages(problem, needs, few: 1);
                    for (var mask = 1u; mask <= c.Bank.All.Mask; mask++)
                    {
                        var target = new ElementSet(mask);
                        if (
                            target.Difference(c.Request.Present).Count == distance
                            && target.IsWithin(problem.Allowed)
                            && BruteForce.Stands(c.Bank, c.Request, target)
                        )
                        {
                            var expected = BruteForce.HasOrder(c.Bank, c.Request, target);
                            Assert.Equal(expected, listed.LeadTo(target));
                            Assert.Equal(expected, asked.LeadTo(target));
                            Interlocked.Increment(ref all);
                            Interlocked.Add(ref led, expected ? 1 : 0);
                        }
                    }
                }
            },
            iter: 4000
        );
        Assert.True(led > 20 && all - led > 20, $"{led} of {all} led to");
    }

    [Fact]
    public void Where_the_bench_bounds_a_drooping_source_the_best_set_that_can_be_reached_is_taken()
    {
        // Closing first draws too much, opening first
        // leaves too little, and some sets are reached only by closings and openings in turn, or not at all.
        var (detours, none) = (0, 0);
        Bounded.Sample(
            c =>
            {
                var (bank, request) = c;
                var best = BruteForce.Best(bank, request);
                Same(bank, request, best, LoadSolver.Solve(bank, request));

                var free = BruteForce.Best(bank, request with { SwitchedDead = true });
                if (best is null && free is not null)
                {
                    Interlocked.Increment(ref none);
                }
                else if (best is { } some && some.Set != free!.Value.Set)
                {
                    Interlocked.Increment(ref detours);
                }
            },
            iter: 2000
        );
        Assert.True(detours > 40 && none > 100, $"{detours} detours, {none} without any");
    }

    [Fact]
    public void No_element_exceeds_its_rating_in_any_state_passed_through() =>
        Cases(12)
            .Sample(
                c =>
                {
                    if (LoadSolver.Solve(c.Bank, c.Request) is LoadFound found)
                    {
                        Assert.All(found.Loadings, l => Assert.True(l.PartOfRating <= 1 + 1e-8, $"{l}"));
                        Assert.All(found.Loadings, l => Assert.True(l.CeilingPartOfRating <= 1 + 1e-8, $"{l}"));
                        Passes(c.Bank, c.Request, found.Set, found.Order);
                    }
                },
                iter: 5000
            );

    [Fact]
    public void Another_unit_of_resistance_changes_nothing_but_the_numbers() =>
        Cases(10)
            .Sample(
                c =>
                {
                    // Resistance times 4 and amperes over 4 leave every voltage as it was; powers of two keep every bit.
                    var scaled = new LoadBank(
                        c.Bank.Elements.Select(e => e with { Nominal = new Ohms(e.Nominal.Value * 4) })
                    );
                    var wanted = c.Request.Target.ResistanceOn(c.Request.Source).Value * 4;
                    SourceCharacteristic source = c.Request.Source switch
                    {
                        ConstantCurrent s => new ConstantCurrent(s.Set * 0.25, s.Ceiling),
                        ConstantVoltage s => new ConstantVoltage(s.Set, s.Limit * 0.25, s.Ceiling),
                        Drooping s => new Drooping(s.Ceiling, s.Slope * 4),
                        _ => throw new InvalidOperationException(),
                    };
                    var limits = c.Request.Limits with { MostAmperes = c.Request.Limits.MostAmperes * 0.25 };
                    var request = c.Request with
                    {
                        Target = new WantedResistance(new Ohms(wanted)),
                        Source = source,
                        Limits = limits,
                    };

                    var (one, other) = (LoadSolver.Solve(c.Bank, c.Request), LoadSolver.Solve(scaled, request));

                    Assert.Equal((one as LoadFound)?.Set, (other as LoadFound)?.Set);
                },
                iter: 2000
            );

    private static void Same(LoadBank bank, LoadRequest request, Candidate? best, LoadAnswer answer)
    {
        if (best is not { } expected)
        {
            Assert.IsType<LoadNotFound>(answer);
            return;
        }

        var found = Assert.IsType<LoadFound>(answer);
        var switched = found.Set.Difference(request.Present);
        Assert.Equal(expected.Distance, switched.Count);
        Assert.Equal(expected.Wear, switched.Indices().Sum(p => request.WearCounts![p]));
        Assert.Equal(expected.Error, Math.Abs(found.RelativeError), 1e-10);
        Assert.True(found.Set.IsWithin(request.Usable ?? bank.All));
    }

    private static void Passes(LoadBank bank, LoadRequest request, ElementSet target, SwitchingSequence order)
    {
        var state = request.Present;
        foreach (var operation in order.Operations)
        {
            Assert.Equal(operation.Closes, !state.Contains(operation.Index));
            state = operation.Closes ? state.With(operation.Index) : state.Without(operation.Index);
            Assert.Equal(operation.After, state);
            if (!request.SwitchedDead)
            {
                BruteForce.AssertWithin(bank, request, state, request.Limits.PerOperation * order.Operations.Count);
            }
        }

        Assert.Equal(target, state);
    }
}
