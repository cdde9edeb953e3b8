"""The commands results, size, match and ruler, used as a newcomer would use them, mistakes included."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from bodytest.export.document import to_json
from tests.export.example_results import STAGES, full, group, results

pytestmark = pytest.mark.core

DEMO = Path(__file__).parents[2] / "sheets" / "demo-complete.xlsx"
SHEET = """bar,body,firing,wet length (mm),dry length (mm),fired length (mm)
1,Grey,F1,100.0,94.1,88.1
2,Grey,F1,100.1,94.0,88.0
3,Grey,F1,99.9,94.0,87.9
"""


@pytest.fixture
def one_body(tmp_path):
    weighed = {"water_of_plasticity": (25.0, 0.5, 10), "loss_on_ignition": (8.0, 0.1, 10)}
    path = tmp_path / "results.json"
    path.write_text(to_json(results(group(**STAGES, **weighed))), encoding="utf-8")
    return path


@pytest.fixture
def two_directions(tmp_path):
    path = tmp_path / "two.json"
    across = group(direction="height", total_shrinkage=(10.0, 0.2, 10))
    path.write_text(to_json(results(group(**STAGES), across)), encoding="utf-8")
    return path


@pytest.fixture
def sheet(tmp_path):
    path = tmp_path / "trial.csv"
    path.write_text(SHEET, encoding="utf-8")
    return path


def test_a_size_is_told_stage_by_stage_with_its_ranges(run, one_body):
    code, out, err = run("size", "200mm", "--from", one_body, "--within", "1mm")
    assert (code, err) == (0, "")
    assert out.splitlines() == [
        "200mm finished: Drift Buff, firing C6, along; batch A only, in this load only (10 bars)",
        "  wet            227.3 mm   (226.8 to 227.7 mm)",
        "  leather-hard   220.5 mm   (219.9 to 221.0 mm)",
        "  dry            213.6 mm   (213.1 to 214.1 mm)",
        "  fired          200.0 mm",
        "  Made 227.3 mm wet, the finished piece will be 198.7 to 201.3 mm (95 % range of one piece).",
        "  Chance that it is within 1.0 mm of 200.0 mm: 87 %.",
    ]


def test_inches_come_with_the_nearest_thirty_second(run, one_body):
    _, out, _ = run("size", "7.5in", "--from", one_body)
    # 7.5 / 0.88 = 8.5227 in, nearest 8 17/32 = 8.53125
    assert out.splitlines()[1] == "  wet            8.52 in   (8.51 to 8.54 in)   about 8 17/32 in"


def test_a_number_and_its_unit_may_stand_apart(run, one_body):
    assert run("size", "30", "cm", "--from", one_body)[1].startswith("30cm finished:")


def test_what_a_dry_piece_will_finish_at(run, one_body):
    _, out, _ = run("size", "213.6mm", "--now", "dry", "--from", one_body)
    # 213.6 × 88/94 = 199.97
    assert "  dry            213.6 mm\n  fired          200.0 mm   (199.5 to 200.4 mm)" in out
    assert (
        out.splitlines()[0]
        == "213.6mm dry now: Drift Buff, firing C6, along; batch A only, in this load only (10 bars)"
    )


def test_named_sizes_take_their_own_direction(run, two_directions):
    code, out, _ = run("size", "height=200mm", "width=200mm", "--direction", "width=along", "--from", two_directions)
    assert code == 0
    # height 200 / 0.90 = 222.2, width 200 / 0.88 = 227.3
    assert [line[:25] for line in out.splitlines() if "wet  " in line] == [
        "  wet            222.2 mm", "  wet            227.3 mm"
    ]  # fmt: skip


def test_many_sizes_come_as_a_table(run, one_body):
    _, out, _ = run("size", "100mm", "150mm", "200mm", "250mm", "--within", "1mm", "--from", one_body)
    lines = out.splitlines()
    assert lines[0].split("  ")[0] == "size"
    assert lines[3] == (
        "200mm  227.3 mm  220.5 mm      213.6 mm  200.0 mm  198.7 to 201.3 mm            87 %"
        "    Drift Buff, firing C6, along; batch A only, in this load only (10 bars)"
    )


def test_a_list_of_parts_is_planned(run, one_body, tmp_path):
    (tmp_path / "parts.csv").write_text("part,size\njar,200mm\nlid,92mm\n", encoding="utf-8")
    code, out, _ = run("size", "--parts", "parts.csv", "--from", one_body)
    assert code == 0
    assert out.startswith("jar: 200mm finished:")
    assert "lid: 92mm finished:" in out


def test_clay_mass_and_capacity_are_told(run, one_body):
    code, out, _ = run("size", "--mass", "920g", "--capacity", "350ml", "--from", one_body)
    assert code == 0
    assert out.splitlines()[1:3] == ["  wet            1250 g   (1246 to 1254 g)", "  dry            1000 g"]
    assert "  wet            514 ml   (510 to 517 ml)" in out


def test_json_is_unrounded(run, one_body):
    _, out, _ = run("size", "200mm", "--json", "--from", one_body)
    assert json.loads(out)["sizes"][0]["stages"][0]["size_mm"] == 200 / 0.88


def test_a_sheet_can_stand_in_place_of_a_results_file(run, sheet):
    code, out, _ = run("size", "200mm", sheet)
    assert code == 0
    # mean shrinkage of 11.9, 12.088, 12.012 % is 12.0 %: 227.27
    assert "  wet            227.3 mm" in out
    assert run("size", "200mm", "--from", sheet)[1] == out


def test_a_size_can_rest_on_pieces(run, tmp_path):
    path = tmp_path / "full.json"
    path.write_text(to_json(full()), encoding="utf-8")
    code, out, _ = run("size", "200mm", "--as-pieces", "height", "--from", path)
    assert code == 0
    assert (
        out.splitlines()[0]
        == "200mm finished: Drift Buff, firing C6, height; this batch only, in this load only (4 pieces)"
    )


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (("200mm",), "No sheet and no results file was named."),
        ((), "No size was named."),
        (("200mm", "--from", "none.json"), "There is no results file named none.json here."),
        (("200mm", "--from", "results.json", "--from", "results.json"),
         "results.json keeps no readings, so its bars cannot be analysed again."),
        (("200", "--from", "results.json"), "“200” has no unit."),
        (("200ft", "--from", "results.json"),
         "“200ft” is in ft, which is no unit for a size here. Known are: mm, cm, in."),
        (("200g", "--from", "results.json"), "“200g” is a mass, but a size is wanted here."),
        (("0mm", "--from", "results.json"), "“0mm” is no size of a piece: it has to be above zero."),
        (("-5mm", "--from", "results.json"), "“-5mm” is no size of a piece: it has to be above zero."),
        (("big", "--from", "results.json"), "“big” cannot be read as a size."),
        (("200mm", "--within", "close", "--from", "results.json"), "“close” cannot be read as a size."),
        (("200mm", "--body", "Bone Grey", "--from", "results.json"),
         "No fired bars of the body “Bone Grey” were measured. There are: Drift Buff."),
        (("200mm", "--firing", "C9", "--from", "results.json"),
         "No bars of Drift Buff from a firing “C9” were measured. There are: C6."),
        (("200mm", "--direction", "across", "--from", "results.json"),
         "No bars of Drift Buff fired in C6 were measured in a direction “across”. There are: along."),
        (("200mm", "--batch", "Z", "--from", "results.json"),
         "No fired bars of a batch “Z” of Drift Buff fired in C6 were measured. There are: A."),
        (("200mm", "--now", "bisque", "--from", "results.json"),
         "Bars of Drift Buff fired in C6 were not measured at the stage “bisque”. There are: wet, leather-hard and"
         " dry."),
        (("--mass", "3cups", "--from", "results.json"),
         "“3cups” is in cups, which is no unit for a mass here. Known are: g, kg, oz, lb."),
        (("--parts", "none.csv", "--from", "results.json"),
         "none.csv could not be read as a list of parts: No such file or directory."),
    ],
)  # fmt: skip
def test_a_mistake_is_told_in_a_sentence_with_what_to_do(run, one_body, arguments, sentence):
    code, out, err = run("size", *arguments)
    assert (code, out) == (2, "")
    assert err.splitlines()[0] == f"STOP {sentence}"
    assert err.splitlines()[1].startswith("     → ")


def test_a_mistyped_option_is_told(run, one_body):
    code, _, err = run("size", "200mm", "--bdoy", "x", "--from", one_body)
    assert code == 2
    assert "Error: No such option: --bdoy (Possible options: --body)" in err


@pytest.mark.parametrize("content", ["{", "[]", '{"format": "other"}', "\x00\x01"])
def test_a_foreign_file_is_told(run, tmp_path, content):
    (tmp_path / "odd.json").write_text(content, encoding="utf-8")
    code, _, err = run("size", "200mm", "--from", "odd.json")
    assert code == 2
    assert err.startswith("STOP odd.json is ")


def test_a_match_is_told(run, one_body):
    code, out, err = run("match", "200mm", "--within", "1mm", "--made-within", "0.5mm", "--from", one_body)
    assert (code, err) == (0, "")
    assert out.splitlines() == [
        "Make 3 to have a pair within 1 mm with 95 % chance.",
        "2 pieces of 200.0 mm finished, all of one batch and in one load",
        "  Drift Buff, firing C6, along; batch A only, in this load only (10 bars); make 227.3 mm wet",
        "  One piece varies by 0.6 mm (standard deviation, made within 0.5 mm wet).",
        "  Chance that both agree within 1 mm: 72 %.",
        "  For 95 %: allow a difference of 1.9 mm.",
        "  For 95 %: give a part that fits into the other a clearance of 1.6 mm.",
        "  For 95 %: no accuracy of making is enough, the firing itself varies too much.",
    ]


def test_a_match_with_lost_pieces_takes_per_cent_in_any_spelling(run, one_body):
    told = "Make 4 to have a pair within 1 mm with 90 % chance, if one in ten is lost."
    for lost, chance in (("10%", "90"), ("10", "90 %"), ("10,0 %", "90%")):
        _, out, _ = run("match", "200mm", "--within", "1mm", "--lost", lost, "--chance", chance, "--from", one_body)
        assert out.splitlines()[0] == told
        assert out.splitlines()[-1] == (
            "  Note: Pieces are counted as lost one by one; a whole load that cracks is not counted."
        )
    code, _, err = run("match", "200mm", "--within", "1mm", "--lost", "some", "--from", one_body)
    assert code == 2
    assert err.splitlines()[0] == "STOP “some” is no percentage."


def test_a_match_of_batches_that_nobody_tested_is_refused(run, one_body):
    code, _, err = run("match", "200mm", "--batches", "different", "--from", one_body)
    assert code == 2
    assert err.splitlines()[0] == (
        "STOP How far batches of Drift Buff fired in C6 differ is not known: at least two batches with two bars each"
        " have to be tested for it."
    )


def test_a_match_as_json(run, one_body):
    assert json.loads(run("match", "200mm", "--json", "--from", one_body)[1])["wet_mm"] == 200 / 0.88


def test_a_ruler_is_written_as_pdf_and_svg(run, one_body, tmp_path):
    code, out, err = run("ruler", "--from", one_body, "--date", "2026-03-14")
    assert (code, err) == (0, "")
    assert out.splitlines() == [
        "Ruler: ruler.pdf",
        "Ruler: ruler.svg",
        "Drift Buff · firing C6 (cone 6) · along · 10 bars · 2026-03-14",
        "wet = finished × 1.1364 (1.1341 to 1.1387, 95 %)",
        "speaks of batch A only, in this load only",
        "Print at 100 % (actual size), not fitted to the page, and check the 100 mm line with a steel rule.",
    ]
    assert (tmp_path / "ruler.pdf").read_bytes().startswith(b"%PDF-")
    assert (tmp_path / "ruler.svg").read_text(encoding="utf-8").startswith("<?xml")


def test_a_long_ruler_has_an_svg_for_each_page(run, one_body, tmp_path):
    _, out, _ = run("ruler", "--from", one_body, "--length", "120cm", "--paper", "letter", "--out", "long.svg")
    assert out.splitlines()[:3] == ["Ruler: long.svg", "Ruler: long-2.svg", "Ruler: long-3.svg"]
    assert not (tmp_path / "long.pdf").exists()


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (("--length", "5m"), "“5m” is in m, which is no unit for a size here. Known are: mm, cm, in."),
        (("--length", "10mm"), "A ruler of 10mm is not drawn; it can reach from 20 to 3000 mm."),
        (("--length", "900cm"), "A ruler of 900cm is not drawn; it can reach from 20 to 3000 mm."),
        (("--out", "ruler.png"), "A ruler is drawn as .pdf or .svg, not as .png."),
        (("--now", "fired"), "“fired” is no stage of a piece. Stages are: wet, leather-hard, dry and bisque."),
    ],
)
def test_a_ruler_that_cannot_be_meant_is_refused(run, one_body, arguments, sentence):
    code, _, err = run("ruler", "--from", one_body, *arguments)
    assert (code, err.splitlines()[0]) == (2, f"STOP {sentence}")


def test_results_are_written_in_the_form_of_the_ending(run, sheet, tmp_path):
    assert run("results", sheet, "--out", "r.json")[0] == 0
    assert run("results", sheet, "--out", "r.csv")[0] == 0
    assert run("results", sheet, "--out", "r.xlsx")[0] == 0
    assert json.loads((tmp_path / "r.json").read_text(encoding="utf-8"))["groups"][0]["body"] == "Grey"
    assert (tmp_path / "r.csv").read_text(encoding="utf-8").startswith("body,firing,")
    assert (tmp_path / "r.xlsx").read_bytes().startswith(b"PK")


def test_results_go_to_standard_output_and_findings_to_standard_error(run, tmp_path):
    (tmp_path / "odd.csv").write_text(SHEET + "4,Grey,F1,100.0,oops,88.0\n", encoding="utf-8")
    code, out, err = run("results", "odd.csv")
    assert code == 1
    assert len(json.loads(out)["bars"]) == 4
    assert err.splitlines()[0].startswith("STOP odd.csv, ")
    assert err.splitlines()[-1].startswith("Findings: 1 to mend, ")


def test_the_schema_is_printed(run):
    code, out, _ = run("results", "--schema")
    assert (code, json.loads(out)["title"]) == (0, "bodytest results, version 1")


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        ((), "No sheet and no results file was named."),
        (("trial.csv", "--format", "xlsx"), "A workbook is not written to the screen."),
        (("none.xlsx",), "There is no file named none.xlsx here."),
        (("trial.csv", "--confidence", "100"), "100 % is no confidence that intervals can be given for."),
    ],
)
def test_results_that_cannot_be_meant_are_refused(run, sheet, arguments, sentence):
    code, out, err = run("results", *arguments)
    assert (code, out) == (2, "")
    assert err.splitlines()[0] == f"STOP {sentence}"


def test_pieces_are_told_from_a_results_file_and_from_a_sheet(run, tmp_path):
    (tmp_path / "full.json").write_text(to_json(full()), encoding="utf-8")
    assert run("pieces", "full.json") == (0, "Drift Buff, firing C6: Less.\n", "")
    assert json.loads(run("pieces", "full.json", "--json")[1])["pieces"][0]["corrected_factor"] == 1.1287
    code, out, _ = run("pieces", DEMO)
    assert code == 0
    assert ": different." in out


def test_without_pieces_that_is_told(run, one_body):
    code, out, err = run("pieces", one_body)
    assert (code, out) == (2, "")
    assert err.splitlines()[0] == "STOP No pieces were measured both wet and fired."


def test_a_size_from_a_results_file_needs_neither_tables_nor_charts(one_body):
    code = (
        "import sys; from bodytest.cli.app import main\n"
        f"sys.argv = ['bodytest', 'size', '200mm', '--within', '1mm', '--from', {str(one_body)!r}]\n"
        "try:\n    main()\nfinally:\n"
        "    slow = {'pandas', 'scipy.stats', 'matplotlib', 'openpyxl', 'statsmodels'}\n"
        "    print(sorted(slow & set(sys.modules)))"
    )
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert said.stdout.splitlines()[-1] == "[]"


def test_a_results_file_may_stand_among_the_sizes(run, one_body):
    assert run("size", "200mm", one_body) == run("size", "200mm", "--from", one_body)
