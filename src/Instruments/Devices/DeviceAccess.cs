using LoadTest.Analysis;
using LoadTest.Instruments.Modbus;
using LoadTest.Instruments.Text;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Instruments.Devices;

/// <summary>One value of an instrument, by register or by line, for what both protocols have alike.</summary>
/// <param name="Register">Of a Modbus instrument.</param>
/// <param name="Exchange">Of a text instrument.</param>
/// <param name="Field">The line's field.</param>
internal sealed record DevicePoint(RegisterText? Register, TextExchange? Exchange, string Field);

/// <summary>A value read, or why there is none.</summary>
internal readonly record struct DeviceValue(CommandResult Result, double Value, long Timestamp);

/// <summary>Reads and writes single values of an instrument.</summary>
internal abstract class DeviceAccess
{
    public abstract string Name { get; }

    /// <summary>After a doubtful exchange: gets in step before anything else is asked or switched.</summary>
    public abstract Task<CommandResult> GetInStepAsync(CancellationToken cancel);

    public abstract Task<DeviceValue> ReadAsync(DevicePoint point, CancellationToken cancel);

    /// <summary>Writes, once; nothing is repeated.</summary>
    /// <param name="point">Where.</param>
    /// <param name="value">What.</param>
    /// <param name="permit">Asked inside the write gate; null for a write that cannot energise.</param>
    /// <param name="makesSafe">Whether it may be sent while an earlier reply is in doubt.</param>
    /// <param name="cancel">Gives up waiting.</param>
    public abstract Task<CommandResult> WriteAsync(
        DevicePoint point,
        double value,
        Func<bool>? permit,
        bool makesSafe,
        CancellationToken cancel
    );

    /// <summary>Sets a number that energises nothing, and proves by reading it back that it stands.</summary>
    /// <param name="at">Where it is set, and where it is read back.</param>
    /// <param name="value">What.</param>
    /// <param name="named">What messages call it.</param>
    /// <param name="unit">Its unit, for messages; may be empty.</param>
    /// <param name="cancel">Gives up waiting.</param>
    public abstract Task<CommandResult> SetAsync(
        (DevicePoint Set, DevicePoint Ask) at,
        double value,
        string named,
        string unit,
        CancellationToken cancel
    );

    /// <summary>A write made once and sent ahead of everything else whenever asked.</summary>
    public abstract Action Urgent(DevicePoint point, double value);
}

/// <summary>By registers and coils.</summary>
internal sealed class ModbusAccess(ModbusClient client, RegisterIdentity identity) : DeviceAccess
{
    public override string Name => client.Exchange.Name;

    public override Task<CommandResult> GetInStepAsync(CancellationToken cancel) => identity.GetInStepAsync(cancel);

    public override async Task<DeviceValue> ReadAsync(DevicePoint point, CancellationToken cancel)
    {
        var plan = new ReadPlan([point.Register!]);
        var reply = await plan.ReadAsync(client, cancel);
        return reply.Outcome == CommandOutcome.Ok
            ? new DeviceValue(CommandResult.Ok, plan.Value(0), plan.Timestamp(0))
            : new DeviceValue(reply.Result, 0, reply.Timestamp);
    }

    public override async Task<CommandResult> WriteAsync(
        DevicePoint point,
        double value,
        Func<bool>? permit,
        bool makesSafe,
        CancellationToken cancel
    )
    {
        var reply = await client.WriteAsync(
            ModbusRequest.Write(Body(point.Register!, value), makesSafe),
            permit,
            cancel
        );
        return reply.Result;
    }

    public override Task<CommandResult> SetAsync(
        (DevicePoint Set, DevicePoint Ask) at,
        double value,
        string named,
        string unit,
        CancellationToken cancel
    ) => new RegisterSetting(client, at.Set.Register!).SetAsync(value, named, unit, cancel);

    public override Action Urgent(DevicePoint point, double value)
    {
        var frame = client.Urgent(Body(point.Register!, value));
        return () => client.Exchange.SendUrgent(frame);
    }

    private static byte[] Body(RegisterText register, double value)
    {
        if (register.Table == RegisterTable.Coil)
            return Pdu.WriteCoil(register.Address, value != 0);
        var words = Registers.Encode(register, value);
        return words.Length == 1
            ? Pdu.WriteRegister(register.Address, words[0])
            : Pdu.WriteRegisters(register.Address, words);
    }
}

/// <summary>By lines of text.</summary>
internal sealed class TextAccess(TextSession session, TextIdentity identity) : DeviceAccess
{
    public override string Name => session.Exchange.Name;

    public override Task<CommandResult> GetInStepAsync(CancellationToken cancel) => identity.GetInStepAsync(cancel);

    public override async Task<DeviceValue> ReadAsync(DevicePoint point, CancellationToken cancel)
    {
        var reply = await session.AskAsync(point.Exchange!, cancel);
        if (reply.Result.Outcome != CommandOutcome.Ok)
            return new DeviceValue(reply.Result, 0, reply.Timestamp);
        var text = reply.Fields[point.Field];
        return TextTemplate.Number(point.Exchange!.Reply, point.Field, text, out var value) == IndicationFlag.Good
            ? new DeviceValue(CommandResult.Ok, value, reply.Timestamp)
            : new DeviceValue(
                CommandResult.Failed($"{Name}: {point.Exchange.Send} was answered with {text}, which is no number."),
                0,
                reply.Timestamp
            );
    }

    public override async Task<CommandResult> WriteAsync(
        DevicePoint point,
        double value,
        Func<bool>? permit,
        bool makesSafe,
        CancellationToken cancel
    )
    {
        var reply = await session.CommandAsync(point.Exchange!, point.Field, value, permit, makesSafe, cancel);
        return reply.Result;
    }

    public override async Task<CommandResult> SetAsync(
        (DevicePoint Set, DevicePoint Ask) at,
        double value,
        string named,
        string unit,
        CancellationToken cancel
    )
    {
        var written = await WriteAsync(at.Set, value, null, makesSafe: false, cancel);
        if (written.Outcome != CommandOutcome.Ok)
            return written;
        var read = await ReadAsync(at.Ask, cancel);
        if (read.Result.Outcome != CommandOutcome.Ok)
            return read.Result;
        return Math.Abs(read.Value - value) <= 1e-6 * Math.Abs(value)
            ? CommandResult.Ok
            : CommandResult.Failed(
                $"{Name}: {named} was set to {Figures.Of(value, 9)} {unit} and reads back {Figures.Of(read.Value, 9)} {unit}. "
                    + "Check its command and the range it allows."
            );
    }

    public override Action Urgent(DevicePoint point, double value)
    {
        var line = session.Urgent(point.Exchange!, point.Field, value);
        return () => session.Exchange.SendUrgent(line);
    }
}
