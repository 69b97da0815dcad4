using System.ComponentModel;
using System.Diagnostics;

namespace LoadTest.Running;

/// <summary>Keeps the computer awake while it exists, where the system lets it; sleep is detected in any case.</summary>
/// <remarks>
/// On Linux a child of the login manager's own tool holds the lock; it reads our end of a pipe and ends with us, however we end.
/// A lid or a sleep button may still win. Elsewhere nothing is tried, and that is said.
/// </remarks>
internal sealed class SleepInhibitor : IDisposable
{
    private static readonly TimeSpan Refuses = TimeSpan.FromMilliseconds(300);
    private readonly Process? _holder;

    private SleepInhibitor(Process? holder, string words) => (_holder, Words) = (holder, words);

    /// <summary>What became of it, one sentence for the journal.</summary>
    public string Words { get; }

    /// <summary>Whether the computer is kept awake, as far as the system says.</summary>
    public bool IsHeld => _holder is { HasExited: false };

    /// <summary>Asks the system to stay awake.</summary>
    /// <param name="tool">The tool that holds the lock; tests give another.</param>
    public static SleepInhibitor Take(string tool = "systemd-inhibit")
    {
        if (!OperatingSystem.IsLinux())
            return Without("this system is not asked by this version");
        try
        {
            var start = new ProcessStartInfo(tool)
            {
                RedirectStandardInput = true,
                RedirectStandardOutput = true,
                RedirectStandardError = true,
                UseShellExecute = false,
            };
            foreach (
                var argument in new[]
                {
                    "--what=sleep:idle:handle-lid-switch",
                    "--who=loadtest",
                    "--why=A load bank is on",
                    "--mode=block",
                    "cat",
                }
            )
                start.ArgumentList.Add(argument);
            var holder = Process.Start(start)!;
            if (!holder.WaitForExit(Refuses))
                return new SleepInhibitor(holder, "The computer is kept from sleeping while the run lasts.");
            var said = holder.StandardError.ReadToEnd().Trim();
            holder.Dispose();
            return Without(said.Length > 0 ? said : $"{tool} ended at once");
        }
        catch (Exception trouble) when (trouble is Win32Exception or InvalidOperationException or IOException)
        {
            return Without(trouble.Message);
        }
    }

    /// <summary>Lets the computer sleep again.</summary>
    public void Dispose()
    {
        if (_holder is null)
            return;
        try
        {
            _holder.StandardInput.Close();
            if (!_holder.WaitForExit(TimeSpan.FromSeconds(1)))
                _holder.Kill();
        }
        catch (Exception trouble) when (trouble is InvalidOperationException or IOException or Win32Exception)
        {
            // It has gone by itself; nothing is held any more.
        }
        _holder.Dispose();
    }

    private static SleepInhibitor Without(string why) =>
        new(
            null,
            $"The computer could not be kept from sleeping ({why}). Keep it awake, on mains, with its lid open; a sleep removes the load."
        );
}
