using LoadTest.Running;

namespace LoadTest.SystemTests.Running;

public sealed class BenchLockTests : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("locks");

    public void Dispose() => _folder.Delete(recursive: true);

    [Fact]
    public void Second_owner_is_told_who_has_the_line()
    {
        using var first = BenchLock.Take(["10.0.0.21:502", "10.0.0.22:5025"], _folder.FullName);

        var refused = Assert.Throws<IOException>(() => BenchLock.Take(["10.0.0.22:5025"], _folder.FullName));

        Assert.Contains("10.0.0.22:5025", refused.Message, StringComparison.Ordinal);
        Assert.Contains($"process {Environment.ProcessId}", refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Whoever_gets_not_every_line_keeps_none()
    {
        using var first = BenchLock.Take(["b:1"], _folder.FullName);
        Assert.Throws<IOException>(() => BenchLock.Take(["a:1", "b:1"], _folder.FullName));

        using var third = BenchLock.Take(["a:1"], _folder.FullName);
        Assert.NotNull(third);
    }

    [Fact]
    public void Line_is_free_again_once_its_owner_is_gone()
    {
        BenchLock.Take(["a:1"], _folder.FullName).Dispose();
        using var second = BenchLock.Take(["a:1"], _folder.FullName);
        Assert.NotNull(second);
    }
}
