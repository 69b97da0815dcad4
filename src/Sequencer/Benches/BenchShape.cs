using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Benches;

/// <summary>What a bench file may hold.</summary>
internal static class BenchShape
{
    /// <summary>The whole file.</summary>
    /// <param name="resolve">Bytes of a definition file by its name below the profiles folder; null when there is none.</param>
    internal static MappingShape<Bench> File(Func<string, ReadOnlyMemory<byte>?> resolve)
    {
        var name = Key.Required("bench", Of.Text("West bay"), "The bench's name.");
        var location = Key.Optional("location", Of.Text("Bay 3"), "Where it stands, for the record.");
        var world = Key.Optional(
            "simulated world",
            new FileNameShape(".json", "demo.json"),
            "World file of a simulated bench; left out for a real one. Its word alone proves nothing."
        );
        var bank = Key.Required("bank", BankShape.Bank, "The weld DC load bank.");
        var instruments = Key.Required(
            "instruments",
            Of.List(Instrument(resolve), 1, 60, "- { id: dmm-1, … }"),
            "All instruments, the bank's controller among them."
        );
        var channels = Key.Required(
            "channels",
            Of.List(BenchPartShapes.Channel(), 1, 60, "- { name: stud volts, … }"),
            "What the bench can read."
        );
        var shunt = Key.Required("reference shunt", BenchPartShapes.ReferenceShunt(), "The bench's certified shunt.");
        var leads = Key.Required(
            "leads",
            BenchPartShapes.Leads(),
            "The weld leads between studs and bank, supply and return."
        );
        var auxiliary = Key.Optional(
            "auxiliary bank",
            AuxiliaryBankShape.Bank,
            "AC elements for the auxiliary output, on the controller of the DC bank; left out when there are none."
        );
        return new MappingShape<Bench>(
            "bench",
            Of.Keys(Of.Format, name, location, world, bank, auxiliary, instruments, channels, shunt, leads),
            f => new Bench(
                f.Get(name),
                f.Maybe(location),
                f.Maybe(world),
                f.Get(bank) with
                {
                    AuxiliaryElements = f.Maybe(auxiliary)?.Elements.Length ?? 0,
                },
                f.Get(instruments),
                f.Get(channels),
                f.Get(shunt),
                f.Get(leads),
                f.Place
            )
            {
                AuxiliaryBank = f.Maybe(auxiliary),
            },
            f =>
            {
                if (f.TryGet(instruments, out var all))
                {
                    f.TryGet(bank, out var loadBank);
                    f.TryGet(auxiliary, out var acBank);
                    BenchLaws.Check(all, (loadBank, acBank), f.Get(channels, []), f.Has(world), f.Place, f.Findings);
                }
            }
        );
    }

    private static MappingShape<BenchInstrument> Instrument(Func<string, ReadOnlyMemory<byte>?> resolve)
    {
        var id = Key.Required("id", Of.Text("dmm-1"), "Short id, used on the bench and in every message.");
        var definition = Key.Required(
            "definition",
            new DefinitionFileShape(resolve),
            "Its definition file, named from the profiles folder.",
            "definition: instruments/multimeter-100-v.yaml"
        );
        var line = Key.Required("line", LineShape.Line, "How it is reached.", "line: { host: 10.0.0.21, port: 502 }");
        var serial = Key.Optional(
            "serial number",
            Of.Text("SM-1001"),
            "Serial number it must identify with; left out when it cannot tell."
        );
        var certificate = Key.Optional(
            "certificate",
            CertificateShape.OfInstrument,
            "Its calibration certificate; without one nothing it reads is a calibration."
        );
        return new MappingShape<BenchInstrument>(
            "instrument",
            Of.Keys(id, definition, line, serial, certificate),
            f => new BenchInstrument(
                f.Get(id),
                f.Get(definition).File,
                f.Get(definition).Definition,
                f.Get(line) is LineText.Person ? new LineText.Person(f.Get(id)) : f.Get(line),
                f.Maybe(serial),
                f.Maybe(certificate),
                f.Place
            ),
            f =>
            {
                if (f.TryGet(definition, out var kind) && f.TryGet(certificate, out var paper))
                {
                    BenchLaws.CheckCertificate(kind.Definition, paper, f.Findings);
                }
            }
        );
    }
}
