namespace LoadTest.Sequencer.Text.Shapes;

/// <summary>Reads a file from its first byte to a value, or to nothing.</summary>
internal static class WholeFile
{
    /// <summary>The value, or null and every finding.</summary>
    /// <param name="check">Laws of the whole file that need the value as it was built.</param>
    internal static Read<T> Read<T>(
        string file,
        ReadOnlyMemory<byte> bytes,
        Shape<T> shape,
        Action<T, FindingList>? check = null
    )
        where T : class
    {
        var findings = new FindingList(file);
        T? value = null;
        if (YamlTree.Read(bytes.Span, findings) is { } root && shape.TryRead(root, "the file", findings, out var read))
        {
            check?.Invoke(read, findings);
            value = findings.Errors == 0 ? read : null;
        }
        return new Read<T>(value, findings.Sorted());
    }
}
