namespace LoadTest.Simulator.Meters;

/// <summary>What a meter can be told or asked.</summary>
internal enum MeterCommand
{
    Identify,
    ClearStatus,
    Reset,
    SetEventEnable,
    AskEventEnable,
    AskEvents,
    SetServiceEnable,
    AskServiceEnable,
    AskStatusByte,
    OperationComplete,
    AskOperationComplete,
    Wait,
    SelfTest,
    ConfigureDc,
    ConfigureAc,
    AskConfigure,
    SetFunction,
    AskFunction,
    SetRangeDc,
    AskRangeDc,
    SetRangeAc,
    AskRangeAc,
    SetAutomaticDc,
    AskAutomaticDc,
    SetAutomaticAc,
    AskAutomaticAc,
    SetCycles,
    AskCycles,
    AskResolution,
    Read,
    Initiate,
    Fetch,
    MeasureDc,
    MeasureAc,
    AskError,
    AskErrorCount,
    AskVersion,
    AskQuestionable,
    AskQuestionableCondition,
    SetQuestionableEnable,
    AskQuestionableEnable,
    AskOperation,
    SetOperationEnable,
    AskOperationEnable,
    PresetStatus,
}

/// <summary>The words of those commands.</summary>
internal static class MeterCommands
{
    /// <summary>A tree with every command; each meter has its own, because it remembers headers.</summary>
    public static ScpiTree<MeterCommand> Tree()
    {
        var tree = new ScpiTree<MeterCommand>();
        foreach (var (pattern, command) in Patterns)
        {
            tree.Add(pattern, command);
        }

        return tree;
    }

    private static readonly (string Pattern, MeterCommand Command)[] Patterns =
    [
        ("*IDN?", MeterCommand.Identify),
        ("*CLS", MeterCommand.ClearStatus),
        ("*RST", MeterCommand.Reset),
        ("*ESE", MeterCommand.SetEventEnable),
        ("*ESE?", MeterCommand.AskEventEnable),
        ("*ESR?", MeterCommand.AskEvents),
        ("*SRE", MeterCommand.SetServiceEnable),
        ("*SRE?", MeterCommand.AskServiceEnable),
        ("*STB?", MeterCommand.AskStatusByte),
        ("*OPC", MeterCommand.OperationComplete),
        ("*OPC?", MeterCommand.AskOperationComplete),
        ("*WAI", MeterCommand.Wait),
        ("*TST?", MeterCommand.SelfTest),
        ("CONFigure[:SCALar]:VOLTage[:DC]", MeterCommand.ConfigureDc),
        ("CONFigure[:SCALar]:VOLTage:AC", MeterCommand.ConfigureAc),
        ("CONFigure?", MeterCommand.AskConfigure),
        ("[SENSe:]FUNCtion[:ON]", MeterCommand.SetFunction),
        ("[SENSe:]FUNCtion[:ON]?", MeterCommand.AskFunction),
        ("[SENSe:]VOLTage[:DC]:RANGe[:UPPer]", MeterCommand.SetRangeDc),
        ("[SENSe:]VOLTage[:DC]:RANGe[:UPPer]?", MeterCommand.AskRangeDc),
        ("[SENSe:]VOLTage:AC:RANGe[:UPPer]", MeterCommand.SetRangeAc),
        ("[SENSe:]VOLTage:AC:RANGe[:UPPer]?", MeterCommand.AskRangeAc),
        ("[SENSe:]VOLTage[:DC]:RANGe:AUTO", MeterCommand.SetAutomaticDc),
        ("[SENSe:]VOLTage[:DC]:RANGe:AUTO?", MeterCommand.AskAutomaticDc),
        ("[SENSe:]VOLTage:AC:RANGe:AUTO", MeterCommand.SetAutomaticAc),
        ("[SENSe:]VOLTage:AC:RANGe:AUTO?", MeterCommand.AskAutomaticAc),
        ("[SENSe:]VOLTage[:DC]:NPLCycles", MeterCommand.SetCycles),
        ("[SENSe:]VOLTage[:DC]:NPLCycles?", MeterCommand.AskCycles),
        ("[SENSe:]VOLTage[:DC]:RESolution?", MeterCommand.AskResolution),
        ("READ?", MeterCommand.Read),
        ("INITiate[:IMMediate]", MeterCommand.Initiate),
        ("FETCh?", MeterCommand.Fetch),
        ("MEASure[:SCALar]:VOLTage[:DC]?", MeterCommand.MeasureDc),
        ("MEASure[:SCALar]:VOLTage:AC?", MeterCommand.MeasureAc),
        ("SYSTem:ERRor[:NEXT]?", MeterCommand.AskError),
        ("SYSTem:ERRor:COUNt?", MeterCommand.AskErrorCount),
        ("SYSTem:VERSion?", MeterCommand.AskVersion),
        ("STATus:QUEStionable[:EVENt]?", MeterCommand.AskQuestionable),
        ("STATus:QUEStionable:CONDition?", MeterCommand.AskQuestionableCondition),
        ("STATus:QUEStionable:ENABle", MeterCommand.SetQuestionableEnable),
        ("STATus:QUEStionable:ENABle?", MeterCommand.AskQuestionableEnable),
        ("STATus:OPERation[:EVENt]?", MeterCommand.AskOperation),
        ("STATus:OPERation:CONDition?", MeterCommand.AskOperation),
        ("STATus:OPERation:ENABle", MeterCommand.SetOperationEnable),
        ("STATus:OPERation:ENABle?", MeterCommand.AskOperationEnable),
        ("STATus:PRESet", MeterCommand.PresetStatus),
    ];
}
