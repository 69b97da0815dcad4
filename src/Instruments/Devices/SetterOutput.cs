using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;

namespace LoadTest.Instruments.Devices;

/// <summary>The analogue output for the unit's control, by register or by line.</summary>
internal sealed class SetterOutput(RemoteSetter setter, DeviceAccess access) : IRemoteSetter
{
    private readonly DevicePoint _set = new(setter.Register, setter.Set, "value");
    private readonly DevicePoint _readBack = ReadBackOf(setter);

    public string Name { get; } = $"{access.Name} {setter.Name}";

    public Unit Unit => setter.Unit;

    public double Least => setter.Least;

    public double Most => setter.Most;

    /// <summary>Where a setter's own measurement is read.</summary>
    public static DevicePoint ReadBackOf(RemoteSetter setter) => new(setter.ReadBack, setter.Ask, "value");

    public async Task<CommandResult> SetAsync(double value, EnergisePermit permit, CancellationToken cancel)
    {
        if (!(value >= setter.Least && value <= setter.Most))
            return CommandResult.Failed(
                $"{Name}: {Show(value)} was to be set; {Show(setter.Least)} to {Show(setter.Most)} is allowed."
            );
        var isRest = value == setter.Least;
        if (!isRest)
        {
            var inStep = await access.GetInStepAsync(cancel);
            if (inStep.Outcome != CommandOutcome.Ok)
                return CommandResult.Failed(inStep.Detail);
        }
        var written = await access.WriteAsync(_set, value, isRest ? null : () => permit.IsValid, isRest, cancel);
        if (written.Outcome != CommandOutcome.Ok)
            return written;
        var read = await access.ReadAsync(_readBack, cancel);
        if (read.Result.Outcome != CommandOutcome.Ok)
            return CommandResult.Unknown(read.Result.Detail);
        return Math.Abs(read.Value - value) <= setter.Within
            ? CommandResult.Ok
            : CommandResult.Failed(
                $"{Name}: {Show(value)} was set and {Show(read.Value)} is read back; {Show(setter.Within)} apart is allowed. Check its wiring and load."
            );
    }

    private string Show(double value) => UnitText.Show(value, setter.Unit);
}
