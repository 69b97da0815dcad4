using LoadTest.Analysis.Regression;

namespace LoadTest.AnalysisTests.Regression;

public sealed class RunsTestTests
{
    [Fact]
    public void Chance_of_two_runs_is_two_of_all_arrangements()
    {
        // Counting: five signs of each kind have 252 arrangements, two of them in two runs.
        double[] two = [1, 1, 1, 1, 1, -1, -1, -1, -1, -1];
        Assert.Equal(2.0 / 252, RunsTest.ChanceOfSoFewRuns(two), 14);
    }

    [Fact]
    public void Chance_agrees_with_counting_every_arrangement()
    {
        // Brute force over the 126 arrangements of five and four.
        for (var wanted = 2; wanted <= 9; wanted++)
        {
            var (few, all) = (0, 0);
            double[] example = [];
            for (var mask = 0; mask < 512; mask++)
            {
                var signs = Enumerable.Range(0, 9).Select(k => (mask >> k & 1) == 1 ? 1.0 : -1.0).ToArray();
                if (signs.Count(s => s > 0) != 5)
                {
                    continue;
                }

                var runs = 1 + Enumerable.Range(1, 8).Count(k => signs[k] != signs[k - 1]);
                all++;
                few += runs <= wanted ? 1 : 0;
                example = runs == wanted ? signs : example;
            }

            Assert.Equal((double)few / all, RunsTest.ChanceOfSoFewRuns(example), 12);
        }
    }

    [Fact]
    public void One_sign_alone_says_nothing() => Assert.Equal(1, RunsTest.ChanceOfSoFewRuns([1, 2, 3]));
}
