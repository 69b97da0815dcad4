using System.Reflection.Metadata;
using System.Reflection.PortableExecutable;
using System.Xml.Linq;

namespace LoadTest.RepositoryTests;

/// <summary>Who may import whom; the picture is in docs/architecture.md.</summary>
public sealed class ImportDirectionTests
{
    /// <summary>Each assembly and everything of ours it may touch, directly or through others.</summary>
    private static readonly Dictionary<string, string[]> Allowed = new(StringComparer.Ordinal)
    {
        ["Analysis"] = [],
        ["Plots"] = ["Analysis"],
        ["Sequencer"] = ["Analysis"],
        ["Instruments"] = ["Sequencer", "Analysis"],
        ["Records"] = ["Sequencer", "Analysis"],
        ["Simulator"] = [],
        ["LoadTest"] = ["Analysis", "Plots", "Sequencer", "Instruments", "Records", "Simulator"],
    };

    private static IEnumerable<string> Projects() =>
        RepositoryFiles.All.Where(p =>
            p.EndsWith(".csproj", StringComparison.Ordinal)
            && (p.StartsWith("src/", StringComparison.Ordinal) || p.StartsWith("simulator/", StringComparison.Ordinal))
        );

    public static TheoryData<string> EveryProject() => [.. Projects()];

    [Fact]
    public void Every_assembly_has_its_place_in_the_picture()
    {
        var names = Projects().Select(p => Path.GetFileNameWithoutExtension(p)).Order(StringComparer.Ordinal);

        Assert.Equal(Allowed.Keys.Order(StringComparer.Ordinal), names, StringComparer.Ordinal);
    }

    [Theory]
    [MemberData(nameof(EveryProject))]
    public void Project_references_point_only_downwards(string project)
    {
        var allowed = Allowed[Path.GetFileNameWithoutExtension(project)];
        var references = XDocument
            .Parse(RepositoryFiles.Read(project))
            .Descendants("ProjectReference")
            .Select(e => Path.GetFileNameWithoutExtension(((string)e.Attribute("Include")!).Replace('\\', '/')));

        Assert.Empty(references.Except(allowed, StringComparer.Ordinal));
    }

    // The compiled assembly names only what it really uses: this sees through transitive references too.
    [Theory]
    [MemberData(nameof(EveryProject))]
    public void Compiled_assemblies_use_only_what_they_may(string project)
    {
        var name = Path.GetFileNameWithoutExtension(project);
        var file = Path.Combine(AppContext.BaseDirectory, name == "LoadTest" ? "loadtest.dll" : $"LoadTest.{name}.dll");
        using var image = new PEReader(File.OpenRead(file));
        var metadata = image.GetMetadataReader();
        var used = metadata
            .AssemblyReferences.Select(h => metadata.GetString(metadata.GetAssemblyReference(h).Name))
            .Where(n => n.StartsWith("LoadTest.", StringComparison.Ordinal))
            .Select(n => n["LoadTest.".Length..]);

        Assert.Empty(used.Except(Allowed[name], StringComparer.Ordinal));
    }

    [Theory]
    [InlineData("LoadTest.Analysis", "System.Net.Sockets", "System.IO.Ports", "System.Console", "System.IO.FileSystem")]
    [InlineData("LoadTest.Sequencer", "System.Net.Sockets", "System.IO.Ports", "System.Console")]
    [InlineData("LoadTest.Simulator", "System.Net.Sockets", "System.IO.Ports", "System.Console")]
    public void Pure_assemblies_touch_neither_wire_nor_console(string assembly, params string[] banned)
    {
        using var image = new PEReader(File.OpenRead(Path.Combine(AppContext.BaseDirectory, $"{assembly}.dll")));
        var metadata = image.GetMetadataReader();
        var used = metadata.AssemblyReferences.Select(h => metadata.GetString(metadata.GetAssemblyReference(h).Name));

        Assert.Empty(used.Intersect(banned, StringComparer.Ordinal));
    }

    // 160 MB of graphics natives follow whoever references the plotting library.
    [Fact]
    public void Only_plots_references_the_plotting_library()
    {
        var users = RepositoryFiles
            .All.Where(p => p.EndsWith(".csproj", StringComparison.Ordinal))
            .Where(p => RepositoryFiles.Read(p).Contains("\"ScottPlot\"", StringComparison.Ordinal));

        Assert.Equal(["src/Plots/Plots.csproj"], users, StringComparer.Ordinal);
    }
}
