using System.CommandLine;
using System.CommandLine.Parsing;
using System.Globalization;
using System.Numerics;
using LoadTest.Sequencer.Text;

namespace LoadTest.Commands;

/// <summary>Options several verbs share; each verb has its own instance of those it takes.</summary>
internal static class CommonOptions
{
    public const string JsonName = "--json";

    public static Option<bool> Json() =>
        new(JsonName) { Description = "One JSON document on standard output, and nothing else there." };

    public static Option<string> Out() =>
        new("--out")
        {
            Description = "Folder of all runs.",
            HelpName = "DIR",
            DefaultValueFactory = _ => "runs",
        };

    public static Option<ulong> Seed() =>
        new("--seed")
        {
            Description = "Seed of the simulated bench: the same seed gives the same readings.",
            HelpName = "N",
            DefaultValueFactory = _ => 1UL,
            CustomParser = r => Whole(r, ulong.MinValue, ulong.MaxValue),
        };

    /// <summary>A whole number in the digits 0 to 9, within bounds; anything else is said and nothing is thrown.</summary>
    public static T Whole<T>(ArgumentResult result, T least, T most)
        where T : struct, IBinaryInteger<T>
    {
        var text = result.Tokens[0].Value;
        if (
            T.TryParse(text, NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out var number)
            && number >= least
            && number <= most
        )
            return number;
        var name = (result.Parent as OptionResult)?.IdentifierToken?.Value ?? result.Argument.Name;
        result.AddError(
            string.Create(
                CultureInfo.InvariantCulture,
                $"{name} {VisibleText.Of(text)}: write a whole number from {least} to {most}."
            )
        );
        return least;
    }

    public static Option<bool> Verbose() =>
        new("--verbose") { Description = "Diagnostics on standard error; they are no evidence." };

    public static Option<string?> World() =>
        new("--world")
        {
            Description = "World file of the simulated bench, instead of the one the bench file names.",
            HelpName = "FILE",
        };

    public static Argument<string> Profile() =>
        new("PROFILE") { Description = "Profile file; a shipped one by its name alone." };

    public static Argument<string> Nameplate() =>
        new("NAMEPLATE") { Description = "Nameplate file; a shipped one by its name alone." };

    public static Argument<string> Bench() =>
        new("BENCH") { Description = "Bench file; a shipped one by its name alone." };

    public static Argument<string> Run() => new("RUN") { Description = "Folder of a run." };
}
