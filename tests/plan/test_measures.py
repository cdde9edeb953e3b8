import pytest

from bodytest.errors import UnusableRequest
from bodytest.plan.measures import parse_as, parse_size


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("200mm", 200),
        ("20 cm", 200),
        ("7,5 in", 190.5),
        ('7.5"', 190.5),
        ("height = 2 inches", 50.8),
        ("1e2mm", 100),
        ("8 1/2in", 215.9),
        ("8-1/2 in", 215.9),
        ("8½in", 215.9),
        ('8 ½"', 215.9),
        ('3/4"', 19.05),
        ("21,5 cm", 215),
        ('4 11/16"', 119.0625),
    ],
)
def test_sizes_are_read(text, mm):
    assert parse_size(text).value == pytest.approx(mm, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "ml"),
    [("350ml", 350), ("1.2 l", 1200), ("35cl", 350), ("350 cm3", 350), ("350cm³", 350), ("1 litre", 1000)],
)
def test_capacities_are_read(text, ml):
    assert parse_as("capacity", text).value == pytest.approx(ml, abs=1e-9)


def test_a_cubic_inch_is_exact():
    assert parse_as("capacity", "1in3").value == pytest.approx(2.54**3, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "grams"), [("800g", 800), ("1,2 kg", 1200), ("0,125 kg", 125), ("2lb", 907.18474), ("3 oz", 85.048569375)]
)
def test_masses_are_read(text, grams):
    assert parse_as("mass", text).value == pytest.approx(grams, abs=1e-9)


@pytest.mark.parametrize(
    ("kind", "text", "sentence"),
    [
        ("length", "200", "“200” has no unit."),
        ("length", "8 1/2", "“8 1/2” has no unit."),
        ("length", "8 1/0in", "“8 1/0in” cannot be read as a size."),
        ("length", "", "“” cannot be read as a size."),
        ("length", "mm", "“mm” cannot be read as a size."),
        ("length", "about 12mm", "“about 12mm” cannot be read as a size."),
        ("length", "12..4mm", "“12..4mm” cannot be read as a size."),
        ("length", "1,200mm", "“1,200mm” can mean 1.2 or 1200 mm."),
        ("mass", "1,250 kg", "“1,250 kg” can mean 1.25 or 1250 kg."),
        ("length", "-3mm", "“-3mm” is no size of a piece: it has to be above zero."),
        ("length", "0mm", "“0mm” is no size of a piece: it has to be above zero."),
        ("length", "1e99mm", "“1e99mm” is beyond anything made of clay: a size goes from 0.001 to 1000000 mm here."),
        ("length", "3ft", "“3ft” is in ft, which is no unit for a size here. Known are: mm, cm, in."),
        ("length", "200m", "“200m” is in m, which is no unit for a size here. Known are: mm, cm, in."),
        ("length", "800g", "“800g” is a mass, but a size is wanted here."),
        ("length", "350ml", "“350ml” is a capacity, but a size is wanted here."),
        ("mass", "20cm", "“20cm” is a length, but a mass is wanted here."),
        ("mass", "20gr", "“20gr” is in gr, which is no unit for a mass here. Known are: g, kg, oz, lb."),
        ("capacity", "12 fl oz",
         "“12 fl oz” is in fl oz, which is no unit for a capacity here. Known are: ml, cl, l, cm3, cm³, cc, in3."),
    ],
)  # fmt: skip
def test_what_cannot_be_meant_is_told_in_a_sentence(kind, text, sentence):
    with pytest.raises(UnusableRequest) as caught:
        parse_as(kind, text)
    assert caught.value.finding.sentence == sentence
