using System.Collections.Immutable;

namespace LoadTest.InstrumentsTests.Fuzzing;

/// <summary>Every decoder that is fuzzed.</summary>
internal static class Decoders
{
    public static ImmutableArray<Decoder> All { get; } =
    [
        FrameDecoders.Rtu,
        FrameDecoders.Tcp,
        FrameDecoders.Ascii,
        ReplyDecoders.Numbers,
        ReplyDecoders.Texts,
        ReplyDecoders.Blocks,
        TextDecoder.Replies,
        ReplyDecoders.Definitions,
    ];
}
