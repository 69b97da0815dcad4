using System.Text.Json.Nodes;
using LoadTest.Sequencer.Text;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Profiles;

/// <summary>A setting of the control: <c>minimum</c>, <c>middle</c>, <c>maximum</c>, or an amount.</summary>
internal sealed class SettingMarkShape : ScalarShape<SettingMark>
{
    private static readonly (string Word, double Mark)[] Marks = [("minimum", 0), ("middle", 0.5), ("maximum", 1)];

    internal override string Example => "minimum";

    internal override string? Read(string text, Place place, out SettingMark value)
    {
        foreach (var (word, mark) in Marks)
        {
            if (word == text)
            {
                value = new SettingMark(mark, null, text);
                return null;
            }
        }
        value = new SettingMark(null, null, text);
        if (NumberText.LengthAtStart(text) == 0 && BaseText.All.All(b => b.Word != text))
        {
            return $"`{QuantityText.Short(text)}` is not a setting. {NearestWord.Advice(text, ["minimum", "middle", "maximum"])} An amount such as `150 A` may stand here too.";
        }
        var why = SettingShape.Setting.Read(text, place, out var amount);
        value = new SettingMark(null, amount, text);
        return why;
    }

    internal override JsonObject Schema(SchemaParts parts) =>
        Pattern($"^(minimum|middle|maximum|{AmountShape.SchemaText(SettingShape.Rule)})$");
}
