using System.Collections.Immutable;
using System.Reflection;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;

namespace LoadTest.Running;

/// <summary>Brings every signal on the runtime's own signal thread, before the runtime hands it to anybody else.</summary>
/// <remarks>
/// <see cref="PosixSignalRegistration"/> calls its handlers on a thread of their own for INT, QUIT and TERM only; all others wait for the
/// thread pool, and with a starved pool for ever. The runtime's native signal thread calls one function, and this one stands before
/// it. Where a runtime has no such function, <see cref="IsLed"/> says so, and signals come as the runtime brings them.
/// </remarks>
internal static class SignalThread
{
    private static ImmutableArray<Action<int>> s_takers = [];
    private static readonly Handler s_ours = Bring;
    private static readonly Handler? s_runtimes = Lead();

    [UnmanagedFunctionPointer(CallingConvention.Cdecl)]
    private delegate int Handler(int number, int name);

    /// <summary>Whether signals come this way.</summary>
    public static bool IsLed => s_runtimes is not null;

    /// <summary>From now on this is called with the number of every signal that has a registration; it must not throw.</summary>
    public static void Add(Action<int> taker) => ImmutableInterlocked.Update(ref s_takers, t => t.Add(taker));

    /// <summary>No longer.</summary>
    public static void Remove(Action<int> taker) => ImmutableInterlocked.Update(ref s_takers, t => t.Remove(taker));

    private static int Bring(int number, int name)
    {
        foreach (var taker in s_takers)
            taker(number);
        return s_runtimes!(number, name);
    }

    private static Handler? Lead()
    {
        if (OperatingSystem.IsWindows())
            return null;
        var registration = typeof(PosixSignalRegistration);
        RuntimeHelpers.RunClassConstructor(registration.TypeHandle);
        if (registration.GetMethod("OnPosixSignal", BindingFlags.NonPublic | BindingFlags.Static) is not { } method)
            return null;
        var runtimes = Marshal.GetDelegateForFunctionPointer<Handler>(method.MethodHandle.GetFunctionPointer());
        try
        {
            SetPosixSignalHandler(Marshal.GetFunctionPointerForDelegate(s_ours));
            return runtimes;
        }
        catch (Exception other) when (other is EntryPointNotFoundException or DllNotFoundException)
        {
            return null;
        }
    }

    [DllImport("libSystem.Native", EntryPoint = "SystemNative_SetPosixSignalHandler")]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories | DllImportSearchPath.AssemblyDirectory)]
    private static extern void SetPosixSignalHandler(nint handler);
}
