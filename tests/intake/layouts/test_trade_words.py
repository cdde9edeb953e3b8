"""Headings in words of the trade that were not read, or asked about as unknown, before."""

import pytest

from bodytest.intake.layouts.headings import meaning
from bodytest.intake.layouts.titles import read_title

HEADINGS = {
    "As cut (mm)": "wet_length", "Wet measure (mm)": "wet_length", "L-H length mm": "leather_hard_length",
    "Leather hd (mm)": "leather_hard_length", "White-dry length (mm)": "dry_length", "Ex dryer (mm)": "dry_length",
    "After 24h in dryer (mm)": "dry_length", "Bisqueware length": "bisque_length", "Ex kiln (mm)": "fired_length",
    "Kiln-out length (mm)": "fired_length", "Bone-dry wgt (g)": "dry_mass", "dry wght g": "dry_mass",
    "Wgt fired": "fired_mass", "Hydrostatic weight (g)": "suspended_mass", "Cone hit": "cone", "Burn no": "firing",
    "Coupon": "bar", "Pc": "bar", "Grain": "direction", "Cut direction": "direction",
    "Freshly made mm": "wet_length", "B.D. length mm": "dry_length", "mm after firing": "fired_length",
    "Post-fire length mm": "fired_length", "Wt out of kiln g": "fired_mass", "W wet (g)": "wet_mass",
    "Distance between the lines, wet (mm)": "wet_length", "Chalk-dry mm": "dry_length",
    "just cut, still wet (mm)": "wet_length",
    "Weight after 2 nights in cold water (g)": "cold_soaked_mass", "Stick": "bar", "Unloaded on": "date",
    "Boiled & blotted g": "boiled_mass", "Body used": "body", "Pyro cone": "cone",
    "After firing, weight boiled 5 h (g)": "boiled_mass", "After firing, length (mm)": "fired_length",
    "Dried out (mm)": "dry_length",
    "Freshly pressed, mm": "wet_length",
    "Dried through, g": "dry_mass", "From the kiln, mm": "fired_length",
    "Burnt at °C": "peak_temperature", "Hottest °C": "peak_temperature",
    "Weight after boiling, dabbed dry (g)": "boiled_mass",
    "L1 dried at 105 °C (mm)": "dry_length", "dried at 60 °C mm": "dry_length", "dry 110C, g": "dry_mass",
    "M3 24 h cold water": "cold_soaked_mass", "M4 5 h boiling": "boiled_mass", "m(wet)": "wet_mass",
    "After cooking in water (g)": "boiled_mass", "Spec.": "bar", "Plate": "position", "Rem.": "notes",
    "Tmax °C": "peak_temperature", "Tpeak_C": "peak_temperature", "L_110C_mm": "dry_length", "M_110C_g": "dry_mass",
    "Kiln mm": "fired_length", "Kiln (g)": "fired_mass", "Kiln": "kiln", "Glaze mm": "fired_length", "Fire": "firing",
    "clay (where dug)": "body", "wet mm (caliper)": "wet_length", "Slip": "body", "Spot": "position",
    "high fired mm": "fired_length",
}  # fmt: skip


@pytest.mark.parametrize(("heading", "key"), HEADINGS.items())
def test_a_trade_word_is_read(heading: str, key: str) -> None:
    assert meaning(heading, "bars").key == key


@pytest.mark.parametrize("heading", ["Tested by", "unpacked by", "Fired by", "flat?", "cracked?", "Warped"])
def test_who_did_it_and_what_became_of_a_bar_are_no_readings_and_divide_nothing(heading: str) -> None:
    for table in ("bars", "firings"):
        assert meaning(heading, table).passed_over


@pytest.mark.parametrize("heading", ["WA %", "W.A.", "takes up water % (boiled)", "Water abs. %"])
def test_water_absorption_is_known_by_its_letters(heading: str) -> None:
    assert meaning(heading, "bars").quantities == ("absorption",)


@pytest.mark.parametrize(
    "heading",
    [
        "Soak 24h (g)",
        "Weight in water (g)",
        "Linear shrinkage",
        "Dry bisque weight (g)",
        "fired weight, soaked (g)",
        "Cooked",
    ],
)
def test_what_stays_open_is_asked(heading: str) -> None:
    found = meaning(heading, "bars")
    assert not found.key
    assert len(found.may_be or found.quantities) > 1


@pytest.mark.parametrize("heading", ["M", "m", "wet m", "fired 1100 C"])
def test_a_letter_or_a_heat_beside_no_stage_is_no_reading(heading: str) -> None:
    assert not meaning(heading, "bars").key


@pytest.mark.parametrize("heading", ["Rolled on", "Dry since", "price/bag", "ring when struck"])
def test_what_no_reading_is_meant_by_is_passed_over(heading: str) -> None:
    assert meaning(heading, "bars").passed_over


@pytest.mark.parametrize("text", ["Tested by", "Tested by: Jo and Pat", "Unpacked by:", "Weighed by Ros"])
def test_who_did_it_is_no_body(text: str) -> None:
    assert read_title(text).body == ""
