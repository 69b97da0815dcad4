using LoadTest.Simulator.Faults;
using LoadTest.Simulator.Parameters;

namespace LoadTest.SimulatorTests;

/// <summary>The bank's Modbus as the published specifications describe it.</summary>
/// <remarks>Frames and checksums typed from the MODBUS application protocol specification V1.1b3, clauses 6 and 7, and MODBUS over serial
/// line V1.02, 6.2.2 (with units 01 and 11 hex). The bank has fewer coils than the examples read, so most example
/// requests prove that the frame was understood: the answer is the exception the specification prescribes.</remarks>
public class BankProtocol
{
    [Theory]
    [InlineData("02 07", "41 12")]
    [InlineData("01 01 00 13 00 13", "8C 02")]
    [InlineData("01 01 03 CD 6B 05", "42 82")]
    [InlineData("11 01 00 13 00 13", "8E 92")]
    [InlineData("11 02 00 C4 00 16", "BA A9")]
    [InlineData("11 02 03 AC DB 35", "20 18")]
    [InlineData("01 03 00 6B 00 03", "74 17")]
    [InlineData("01 10 00 01 00 02 04 00 0A 01 02", "92 30")]
    [InlineData("01 0F 00 13 00 0A 02 CD 01", "72 CB")]
    [InlineData("01 81 02", "C1 91")]
    public void Checksum_is_the_published_one(string bytes, string crc)
    {
        var value = Simulator.Banks.Crc16.Of(Rig.Hex(bytes));
        Assert.Equal(Rig.Hex(crc), new byte[] { (byte)(value & 0xFF), (byte)(value >> 8) });
    }

    [Fact]
    public void Checksum_of_the_digits_is_the_published_check_value()
    {
        // Catalogue check value of CRC-16/MODBUS over "123456789".
        Assert.Equal(0x4B37, Simulator.Banks.Crc16.Of("123456789"u8));
    }

    [Theory]
    [InlineData("01 01 00 13 00 13 8C 02", "01 81 02 C1 91")]
    [InlineData("01 01 04 A1 00 01 AD 18", "01 81 02 C1 91")]
    [InlineData("01 06 00 01 00 03 98 0B", "01 06 00 01 00 03 98 0B")]
    public void Example_frames_of_the_specification_are_answered(string request, string answer)
    {
        using var rig = new Rig();
        Assert.Equal(Rig.Hex(answer), rig.Exchange("bank-1", Rig.Hex(request)));
    }

    [Theory]
    [InlineData("01 02 00 C4 00 16 B8 39")]
    [InlineData("01 03 00 6B 00 03 74 17")]
    [InlineData("01 05 00 AC FF 00 4C 1B")]
    [InlineData("01 0F 00 13 00 0A 02 CD 01 72 CB")]
    public void Example_frames_outside_the_map_meet_an_illegal_data_address(string request)
    {
        using var rig = new Rig();
        var function = Rig.Hex(request)[1];
        Assert.Equal(Rig.Rtu(1, [(byte)(function | 0x80), 2]), rig.Exchange("bank-1", Rig.Hex(request)));
    }

    [Fact]
    public void Example_write_of_two_registers_is_refused_where_the_second_does_not_exist()
    {
        // The specification's example writes registers 1 and 2 (from address 1); the bank ends at address 1.
        using var rig = new Rig();
        Assert.Equal(Rig.Rtu(1, [0x90, 2]), rig.Exchange("bank-1", Rig.Hex("01 10 00 01 00 02 04 00 0A 01 02 92 30")));
    }

    [Theory]
    [InlineData("01 07 41 E2")]
    [InlineData("01 16 00 04 00 F2 00 25 67 EE")]
    [InlineData("01 18 04 DE 03 47")]
    public void Other_functions_are_illegal(string request)
    {
        using var rig = new Rig();
        var function = Rig.Hex(request)[1];
        Assert.Equal(Rig.Rtu(1, [(byte)(function | 0x80), 1]), rig.Exchange("bank-1", Rig.Hex(request)));
    }

    [Theory]
    [InlineData("01 00 00 00 00", "81 03")]
    [InlineData("01 00 00 07 D1", "81 03")]
    [InlineData("02 00 00 07 D1", "82 03")]
    [InlineData("03 00 00 00 7E", "83 03")]
    [InlineData("04 00 00 00 00", "84 03")]
    [InlineData("04 00 12 00 02", "84 02")]
    [InlineData("05 00 00 00 01", "85 03")]
    [InlineData("05 00 09 FF 00", "85 02")]
    [InlineData("06 00 00 02 59", "86 03")]
    [InlineData("06 00 02 00 00", "86 02")]
    [InlineData("0F 00 00 00 00 01 00", "8F 03")]
    [InlineData("0F 00 00 00 09 01 00", "8F 03")]
    [InlineData("0F 00 00 00 0A 02 00 00", "8F 02")]
    [InlineData("10 00 00 00 00 00", "90 03")]
    [InlineData("10 00 00 00 02 04 00 05 0E 11", "90 03")]
    public void Requests_outside_limits_meet_the_prescribed_exception(string request, string answer)
    {
        using var rig = new Rig();
        Assert.Equal(Rig.Hex(answer), rig.Bank(request));
        Assert.False(rig.Bench.AnyElementEnergised);
    }

    [Fact]
    public void Known_values_stand_where_the_map_says()
    {
        using var rig = new Rig();

        // 1234.5 is 449A5000 hex in IEEE 754 single precision; 40217 is 9D19 hex.
        Assert.Equal(Rig.Hex("04 0E 4C 54 00 01 44 9A 50 00 00 00 9D 19 00 08"), rig.Bank("04 00 00 00 07"));
    }

    [Theory]
    [InlineData("02 01 00 00 00 08")]
    [InlineData("00 01 00 00 00 08")]
    public void Other_units_and_broadcasts_are_met_with_silence(string frame)
    {
        using var rig = new Rig();
        var bytes = Rig.Hex(frame);
        Assert.Empty(rig.Exchange("bank-1", Rig.Rtu(bytes[0], bytes[1..])));
    }

    [Fact]
    public void Broadcast_is_obeyed()
    {
        using var rig = new Rig();
        rig.Exchange("bank-1", Rig.Rtu(0, Rig.Hex("05 00 00 FF 00")));
        Assert.Equal(1u, rig.Bench.ElementsOn);
    }

    [Fact]
    public void Every_flipped_bit_of_a_frame_is_met_with_silence()
    {
        using var rig = new Rig();
        var frame = Rig.Rtu(1, Rig.Hex("05 00 02 FF 00"));
        for (var bit = 0; bit < frame.Length * 8; bit++)
        {
            var bad = (byte[])frame.Clone();
            bad[bit / 8] ^= (byte)(1 << (bit % 8));
            Assert.Empty(rig.Exchange("bank-1", bad, 0.2));
        }

        Assert.False(rig.Bench.AnyElementEnergised);
        Assert.Equal(Rig.Hex("05 00 02 FF 00"), rig.Bank("05 00 02 FF 00"));
    }

    [Fact]
    public void Frame_cut_by_a_pause_is_discarded_and_the_next_understood()
    {
        using var rig = new Rig();
        var frame = Rig.Rtu(1, Rig.Hex("01 00 00 00 08"));
        Assert.Empty(rig.Exchange("bank-1", frame[..5], 0.05));
        Assert.Empty(rig.Exchange("bank-1", frame[5..], 0.05));
        Assert.Equal(Rig.Hex("01 01 00"), rig.Bank("01 00 00 00 08"));
    }

    [Fact]
    public void Frame_in_single_bytes_without_pause_is_understood()
    {
        using var rig = new Rig();
        var device = rig["bank-1"];
        var frame = Rig.Rtu(1, Rig.Hex("0F 00 00 00 08 01 05"));
        foreach (var b in frame)
        {
            device.Receive([b]);
            rig.Time.Pass(0.005);
        }

        rig.Time.Pass(0.1);
        Assert.Equal(0b101u, rig.Bench.ElementsOn);
    }

    [Fact]
    public void Answer_takes_the_time_of_both_frames_and_the_turn_around()
    {
        // 8 + 6 characters of 11 bits at 115200 bit/s and 3 ms: 4.34 ms.
        using var rig = new Rig();
        var frame = Rig.Rtu(1, Rig.Hex("01 00 00 00 08"));
        Assert.Empty(rig.Exchange("bank-1", frame, 0.0033));
        rig.Time.Pass(0.1);
        Assert.Equal(6, rig.Exchange("bank-1", frame, 0.00435).Length);
    }

    [Fact]
    public void Contactors_follow_their_coils_after_their_delay()
    {
        using var rig = new Rig();
        rig.Bank("0F 00 00 00 08 01 FF", 0.02);
        Assert.Equal(Rig.Hex("01 01 FF"), rig.Bank("01 00 00 00 08", 0.005));
        Assert.Equal(0u, rig.Bench.ElementsOn);
        rig.Time.Pass(0.02);
        Assert.Equal(0xFFu, rig.Bench.ElementsOn);
        Assert.Equal(Rig.Hex("02 02 FF 04"), rig.Bank("02 00 00 00 0C"));
        rig.Bank("0F 00 00 00 08 01 00", 0.05);
        Assert.Equal(0u, rig.Bench.ElementsOn);
        Assert.True(rig.Bench.LastLoadCommand?.IsAllOff);
    }

    [Fact]
    public void All_off_leaves_the_fan_running()
    {
        using var rig = new Rig();
        rig.Close(3);
        rig.Bank("0F 00 00 00 08 01 00");
        Assert.Equal(Rig.Hex("01 02 00 01"), rig.Bank("01 00 00 00 09"));
    }

    [Fact]
    public void Watchdog_drops_the_elements_when_nobody_asks()
    {
        using var rig = new Rig();
        rig.Close(0x1F);
        rig.Bank("06 00 00 00 02");
        for (var i = 0; i < 5; i++)
        {
            rig.Time.Pass(1.5);
            Assert.Equal(0x1Fu, rig.Bench.ElementsOn);
            rig.Bank("01 00 00 00 08");
        }

        rig.Time.Pass(2.2);
        Assert.Equal(0u, rig.Bench.ElementsOn);

        // Air flow, stop circuit healthy, dropped by the watchdog.
        Assert.Equal(Rig.Hex("02 01 0D"), rig.Bank("02 00 08 00 04"));
        rig.Bank("05 00 00 FF 00");
        Assert.Equal(Rig.Hex("02 01 05"), rig.Bank("02 00 08 00 04"));
    }

    [Fact]
    public void Elements_without_air_are_dropped_and_stay_refused()
    {
        using var rig = new Rig();
        rig.Close(1);
        rig.Bench.Inject(new Fault("fan-failed"));
        rig.Time.Pass(10);
        Assert.Equal(0u, rig.Bench.ElementsOn);
        Assert.Equal(Rig.Hex("85 04"), rig.Bank("05 00 00 FF 00"));
        rig.Bench.ClearFaults();
        rig.Time.Pass(5);
        Assert.Equal(Rig.Hex("05 00 00 FF 00"), rig.Bank("05 00 00 FF 00"));
    }

    [Fact]
    public void Hard_wired_stop_opens_every_contactor()
    {
        using var rig = new Rig();
        rig.Close(0xFF);
        rig.Bench.Source.PressStop(pressed: true);
        rig.Time.Pass(0.03);
        Assert.Equal(0u, rig.Bench.ElementsOn);
        Assert.Equal(Rig.Hex("8F 04"), rig.Bank("0F 00 00 00 08 01 01"));
        Assert.Equal(Rig.Hex("0F 00 00 00 08"), rig.Bank("0F 00 00 00 08 01 00"));
    }

    [Fact]
    public void Tcp_frames_carry_transaction_and_unit()
    {
        using var rig = new Rig(WorldFile.Demo().WithBankProtocol("modbus-tcp"));
        var request = Rig.Hex("15 01 00 00 00 06 01 04 00 00 00 01");
        Assert.Equal(Rig.Hex("15 01 00 00 00 05 01 04 02 4C 54"), rig.Exchange("bank-1", request));

        // Cut anywhere, and two in one portion: the same answers.
        rig["bank-1"].Receive(request.AsSpan(0, 3));
        Assert.Equal(22, rig.Exchange("bank-1", [.. request[3..], .. request]).Length);
        Assert.Empty(rig.Exchange("bank-1", Rig.Hex("15 01 00 00 00 06 02 04 00 00 00 01")));
    }

    [Fact]
    public void Tcp_stream_that_lost_its_framing_stays_silent_until_a_new_connection()
    {
        using var rig = new Rig(WorldFile.Demo().WithBankProtocol("modbus-tcp"));
        var request = Rig.Hex("00 01 00 00 00 06 01 04 00 00 00 01");
        Assert.Empty(rig.Exchange("bank-1", Rig.Hex("00 01 00 07 00 06 01 04 00 00 00 01")));
        Assert.Empty(rig.Exchange("bank-1", request));
        rig["bank-1"].Connected();
        Assert.Equal(11, rig.Exchange("bank-1", request).Length);
    }
}
