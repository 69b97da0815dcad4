namespace LoadTest.Running;

/// <summary>The run before this one in the same store.</summary>
/// <param name="RunId">Its id.</param>
/// <param name="Head">Head of its journal.</param>
internal sealed record PreviousRun(string RunId, string Head);
