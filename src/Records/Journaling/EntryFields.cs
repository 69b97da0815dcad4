using System.Collections.Immutable;
using System.Text.Json;
using LoadTest.Analysis;
using LoadTest.Analysis.Loads;

namespace LoadTest.Records.Journaling;

/// <summary>Walks the properties of one entry in the order they were written.</summary>
/// <remarks>Every method throws <see cref="FormatException"/> when the next token is another; <see cref="Utf8JsonReader"/> beneath throws what it throws.</remarks>
internal ref struct EntryFields
{
    private Utf8JsonReader _json;

    /// <summary>Starts at the object's opening brace.</summary>
    public EntryFields(ReadOnlySpan<byte> payload)
    {
        _json = new Utf8JsonReader(payload);
        Next(JsonTokenType.StartObject);
    }

    /// <summary>Proves that nothing is left.</summary>
    public void End()
    {
        Next(JsonTokenType.EndObject);
        // Whatever stands after the object is no JSON any more: the reader says so.
        _json.Read();
    }

    /// <summary>Passes over whatever is left; it only has to be JSON.</summary>
    public void Skip()
    {
        while (_json.Read()) { }
    }

    /// <summary>A text property.</summary>
    public string Text(string name) => MaybeText(name) ?? throw new FormatException($"\"{name}\" is null");

    /// <summary>A text property that may be null.</summary>
    public string? MaybeText(string name)
    {
        Property(name);
        if (_json.TokenType == JsonTokenType.Null)
            return null;
        Require(JsonTokenType.String);
        return _json.GetString();
    }

    /// <summary>A text property that is written only where there is one; null where the next is another.</summary>
    public string? TextIfNext(string name)
    {
        var ahead = _json;
        return ahead.Read() && ahead.TokenType == JsonTokenType.PropertyName && ahead.ValueTextEquals(name)
            ? Text(name)
            : null;
    }

    /// <summary>A text property that is not empty.</summary>
    public string Filled(string name) =>
        Text(name) is { Length: > 0 } text ? text : throw new FormatException($"\"{name}\" is empty");

    /// <summary>A SHA-256, 64 lower-case hexadecimal digits.</summary>
    public string Hash(string name) =>
        Text(name) is var text && EntryJson.IsHash(text)
            ? text
            : throw new FormatException($"\"{name}\" is no SHA-256 in lower-case hexadecimal");

    /// <summary>The words of an enum's member.</summary>
    public T Word<T>(string name)
        where T : struct, Enum => EnumWords<T>.Parse(Text(name));

    /// <summary>Base64 bytes.</summary>
    public ImmutableArray<byte> Bytes(string name)
    {
        Property(name);
        Require(JsonTokenType.String);
        return ImmutableArray.Create(_json.GetBytesFromBase64());
    }

    /// <summary>True or false.</summary>
    public bool YesNo(string name) => MaybeYesNo(name) ?? throw new FormatException($"\"{name}\" is null");

    /// <summary>True, false or null.</summary>
    public bool? MaybeYesNo(string name)
    {
        Property(name);
        return _json.TokenType == JsonTokenType.Null ? null : _json.GetBoolean();
    }

    /// <summary>A 32-bit integer.</summary>
    public int Integer(string name) => (int)Long(name);

    /// <summary>A 64-bit integer.</summary>
    public long Long(string name)
    {
        Property(name);
        return LongHere();
    }

    /// <summary>A 64-bit integer of zero or more.</summary>
    public long Count(string name) =>
        Long(name) is >= 0 and var count ? count : throw new FormatException($"\"{name}\" is below zero");

    /// <summary>A set of elements.</summary>
    public ElementSet Elements(string name) => new((uint)Long(name));

    /// <summary>A set of elements or null.</summary>
    public ElementSet? MaybeElements(string name)
    {
        Property(name);
        return _json.TokenType == JsonTokenType.Null ? null : new ElementSet((uint)LongHere());
    }

    /// <summary>A finite number.</summary>
    public double Number(string name) => MaybeNumber(name) ?? throw new FormatException($"\"{name}\" is null");

    /// <summary>A finite number or null.</summary>
    public double? MaybeNumber(string name)
    {
        Property(name);
        return NumberHere();
    }

    /// <summary>A time in nanoseconds.</summary>
    public TimeSpan Time(string name) => TimeOf(Long(name));

    /// <summary>A time in nanoseconds or null.</summary>
    public TimeSpan? MaybeTime(string name)
    {
        Property(name);
        return _json.TokenType == JsonTokenType.Null ? null : TimeOf(LongHere());
    }

    /// <summary>Steps into an array property.</summary>
    public void StartArray(string name)
    {
        Property(name);
        Require(JsonTokenType.StartArray);
    }

    /// <summary>Steps into the next item, an array; false at the end of the array around it.</summary>
    public bool NextIsArray()
    {
        _json.Read();
        if (_json.TokenType == JsonTokenType.EndArray)
            return false;
        Require(JsonTokenType.StartArray);
        return true;
    }

    /// <summary>Next item, a 32-bit integer.</summary>
    public int IntegerItem()
    {
        _json.Read();
        return (int)LongHere();
    }

    /// <summary>Next item, a finite number or null.</summary>
    public double? MaybeNumberItem()
    {
        _json.Read();
        return NumberHere();
    }

    /// <summary>Next item, a time in nanoseconds.</summary>
    public TimeSpan TimeItem()
    {
        _json.Read();
        return TimeOf(LongHere());
    }

    /// <summary>Next item, the words of an enum's member.</summary>
    public T WordItem<T>()
        where T : struct, Enum
    {
        Next(JsonTokenType.String);
        return EnumWords<T>.Parse(_json.GetString()!);
    }

    /// <summary>The end of the inner array.</summary>
    public void EndArrayItem() => Next(JsonTokenType.EndArray);

    private void Property(string name)
    {
        _json.Read();
        if (_json.TokenType != JsonTokenType.PropertyName || !_json.ValueTextEquals(name))
            throw new FormatException($"\"{name}\" was expected at byte {_json.TokenStartIndex} of the payload");
        _json.Read();
    }

    private readonly long LongHere()
    {
        Require(JsonTokenType.Number);
        return _json.GetInt64();
    }

    private readonly double? NumberHere()
    {
        if (_json.TokenType == JsonTokenType.Null)
            return null;
        Require(JsonTokenType.Number);
        var value = _json.GetDouble();
        return Math.Abs(value) < JournalFormat.LeastOverload
            ? value
            : throw new FormatException(
                $"a number's magnitude is {Figures.Of(JournalFormat.LeastOverload, 1)} or more"
            );
    }

    private static TimeSpan TimeOf(long nanoseconds) =>
        nanoseconds is < 0 or > JournalFormat.LatestNanoseconds
            ? throw new FormatException($"{nanoseconds} ns lies before the opening or more than ten years after it")
        : nanoseconds % JournalFormat.NanosecondsPerTick == 0
            ? new TimeSpan(nanoseconds / JournalFormat.NanosecondsPerTick)
        : throw new FormatException($"{nanoseconds} ns is not a multiple of {JournalFormat.NanosecondsPerTick} ns");

    private void Next(JsonTokenType type)
    {
        _json.Read();
        Require(type);
    }

    private readonly void Require(JsonTokenType type)
    {
        if (_json.TokenType != type)
            throw new FormatException(
                $"{_json.TokenType} at byte {_json.TokenStartIndex} of the payload, where {type} belongs"
            );
    }
}
