"""Whatever names hold, nothing but text reaches the terminal, and data outputs keep the names as they are."""

import json
import os
import re
import subprocess
import sys
import unicodedata
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.cli.nasty_names import write_csv, write_workbook

RED, BACK, C1, OVERRIDE, ISOLATE, HIDDEN = "\x1b[31mX", "a\b\bb", "\x9b2J", "\u202egpj", "\u2066i\u2069", "z\u200bz"
NASTY = RED + BACK + C1 + OVERRIDE + ISOLATE + HIDDEN
XML_NASTY = C1 + OVERRIDE + ISOLATE + HIDDEN
SHOWN = r"\x1b[31mXa\x08\x08b\x9b2J\u202egpj\u2066i\u2069z\u200bz"


def harmful(text):
    """Return the signs that steer a terminal or hide, apart from line feeds."""
    return sorted({c for c in text if unicodedata.category(c) in {"Cc", "Cf", "Cs", "Zl", "Zp"} and c != "\n"})


PRINTING = [
    ["check", "{sheet}"],
    ["check", "{sheet}", "--json"],
    ["report", "{sheet}"],
    ["results", "{sheet}"],
    ["compare", "{sheet}", "--by", "batch"],
    ["compare", "{sheet}", "--by", "body"],
    ["compare", "{sheet}", "--by", "firing"],
    ["compare", "{sheet}", "--by", "position", "--json"],
    ["timeline", "{sheet}"],
    ["timeline", "{sheet}", "--json"],
    ["howmany", "{sheet}", "-w", "0.2"],
    ["howmany", "{sheet}", "-w", "0.2", "--json"],
    ["size", "200mm", "{sheet}"],
    ["size", "200mm", "{sheet}", "--body", "{body}", "--firing", "{firing}"],
    ["size", "200mm", "{sheet}", "--body", "{body}", "--firing", "{firing}", "--json"],
    ["match", "92mm", "--from", "{sheet}", "--within", "1mm", "--body", "{body}", "--firing", "{firing}"],
    ["match", "92mm", "--from", "{sheet}", "--within", "1mm"],
    ["pieces", "{sheet}"],
    ["ruler", "--from", "{sheet}", "--body", "{body}", "--firing", "{firing}"],
    ["kit", "{sheet}", "--only", "wet"],
    ["kit", "{sheet}", "--bar", "{nasty}"],
    ["howmany", "{sheet}", "-w", "0.2", "--body", "{nasty}"],
    ["timeline", "{sheet}", "--body", "{nasty}"],
    ["compare", "{sheet}", "--by", "{nasty}"],
    ["compare", "{sheet}", "-q", "{nasty}"],
    ["size", "{nasty}", "{sheet}"],
    ["size", "--{nasty}", "{sheet}"],
    ["check", "{nasty}.xlsx"],
    ["check", "--explain", "{nasty}"],
    ["report", "{sheet}", "--confidence", "{nasty}"],
    ["{nasty}"],
    ["watch", "{nasty}"],
    ["sheet", "{nasty}.xlsx", "--body", "{nasty}"],
    ["sheet", "b.xlsx", "--firing", "F1:{nasty}"],
]


def filled(command, sheet, nasty):
    words = {"sheet": str(sheet), "nasty": nasty, "body": f"Body0 {nasty}", "firing": f"F0{nasty}"}
    return [part.format(**words) for part in command]


@pytest.mark.parametrize("command", PRINTING, ids=" ".join)
@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_no_command_lets_a_name_steer_the_terminal(run, tmp_path, command, kind):
    nasty = NASTY if kind == "csv" else XML_NASTY
    write = write_csv if kind == "csv" else write_workbook
    sheet = write(tmp_path / f"s{nasty}.{kind}", (nasty,) * 6)
    code, out, err = run(*filled(command, sheet, nasty))
    assert code in {0, 1, 2}, err
    assert harmful(out + err) == []


def test_check_shows_what_a_name_hides(run, tmp_path):
    sheet = write_csv(tmp_path / f"s{NASTY}.csv", (NASTY,) * 6)
    _, out, _ = run("check", sheet)
    assert out.splitlines()[0] == f"s{SHOWN}.csv: 24 bars, 2 bodies, 2 firings"


def test_a_file_name_with_a_line_feed_makes_no_line_of_its_own(run, tmp_path):
    sheet = write_csv(tmp_path / "a\nNothing to mend.csv", ("x",) * 6)
    _, out, _ = run("check", sheet)
    assert out.splitlines()[0] == r"a\nNothing to mend.csv: 24 bars, 2 bodies, 2 firings"


def test_a_command_to_type_next_runs_nothing_that_a_name_holds(run, tmp_path):
    write_csv(tmp_path / "$(touch harm) .csv", ("x",) * 6)
    _, out, _ = run("check", "$(touch harm) .csv")
    assert " Next: bodytest report '$(touch harm) .csv' --out report\n" in out


def test_of_several_long_names_each_is_told(run, tmp_path):
    sheet = write_csv(tmp_path / "s.csv", ("Clay" * 2500, "", "F", "", "", ""))
    code, _, err = run("size", "200mm", sheet)
    clay = f"{('Clay' * 20)[:79]}…{'Clay' * 20}"
    assert code == 2
    assert f"STOP Several bodies were measured: Body0 {clay} and Body1 {clay}.\n" in err


def test_json_keeps_names_as_they_are(run, tmp_path):
    sheet = write_csv(tmp_path / "s.csv", (NASTY,) * 6)
    _, out, _ = run("results", sheet)
    assert harmful(out) == []
    assert {bar["body"] for bar in json.loads(out)["bars"]} == {f"Body0 {NASTY}", f"Body1 {NASTY}"}
    _, out, _ = run("timeline", sheet, "--json")
    assert {one["body"] for one in json.loads(out)["timelines"]} == {f"Body0 {NASTY}", f"Body1 {NASTY}"}


def test_csv_keeps_names_as_they_are_in_a_file_or_pipe(run, tmp_path):
    sheet = write_csv(tmp_path / "s.csv", (NASTY,) * 6)
    _, out, _ = run("results", sheet, "--format", "csv")
    assert f"Body0 {NASTY}" in out


def test_csv_on_a_terminal_is_shown(tmp_path):
    sheet = write_csv(tmp_path / "s.csv", (NASTY,) * 6)
    for out in ((), ("--out", "-")):
        said = on_a_terminal("results", sheet, "--format", "csv", *out)
        assert harmful(said.replace("\r\n", "\n")) == []
        assert f"Body0 {SHOWN}" in said


def test_a_terminal_gets_our_own_colours_and_no_others(tmp_path):
    sheet = write_csv(tmp_path / f"s{RED}.csv", (NASTY,) * 6)
    said = on_a_terminal("check", sheet, tmp_path / "there is no.csv")
    ours = re.findall(r"\x1b\[(?:0|1|3[134])m", said)
    assert ours
    assert harmful(re.sub(r"\x1b\[[0-9;]*m", "", said).replace("\r\n", "\n")) == []
    assert f"s{RED}" not in said


def on_a_terminal(*arguments):
    """Return what a command prints where standard output is a terminal."""
    pty = pytest.importorskip("pty")
    ours, theirs = pty.openpty()
    command = [sys.executable, "-m", "bodytest", *map(str, arguments)]
    with subprocess.Popen(command, stdout=theirs, stderr=subprocess.DEVNULL) as running:
        os.close(theirs)
        said = b""
        try:
            while piece := os.read(ours, 65536):
                said += piece
        except OSError:  # the terminal is closed when the command ends
            pass
        running.wait()
    os.close(ours)
    return said.decode()


signs = st.text(
    st.one_of(
        st.sampled_from("\x1b\x08\x07\x7f\x85\x9b\u202e\u2066\u200b\u200f\u2028\ufeff\U000e0041\xad\t\n%{}[]<&'=+\\"),
        st.characters(codec="utf-8"),
    ),
    min_size=1,
    max_size=12,
)


@given(nasty=signs, command=st.sampled_from(PRINTING))
@settings(max_examples=60, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_no_name_whatever_it_is_made_of_steers_the_terminal(run, tmp_path, nasty, command):
    nasty = nasty.replace("\0", "")
    sheet = write_csv(tmp_path / "s.csv", (nasty,) * 6)
    code, out, err = run(*filled(command, sheet, nasty))
    assert code in {0, 1, 2}, err
    assert harmful(out + err) == []


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
@pytest.mark.parametrize(
    "command",
    [
        ["check", "{sheet}"],
        ["check", "{sheet}", "--json"],
        ["check", "{sheet}", "--marked", "m.xlsx"],
        ["report", "{sheet}", "--out", "r"],
        ["results", "{sheet}"],
        ["results", "{sheet}", "--out", "r.xlsx"],
        ["compare", "{sheet}", "--json"],
        ["size", "200mm", "{sheet}", "--body", "Body0 x", "--firing", "F0x"],
        ["watch", "{sheet}"],
        ["sheet", "{other}"],
        ["report", "plain.csv", "--out", "{folder}"],
        ["results", "plain.csv", "--out", "{other}"],
        ["size", "200mm", "--from", "{other}.json"],
    ],
    ids=" ".join,
)
def test_a_file_name_that_is_no_utf8_is_no_trouble(tmp_path, command, kind):
    write = write_csv if kind == "csv" else write_workbook
    write(tmp_path / "plain.csv", ("x",) * 6)
    sheet = os.fsdecode(b"caf\xe9." + kind.encode())
    try:
        write(tmp_path / sheet, ("x",) * 6)
    except OSError:
        pytest.skip("this file system takes UTF-8 only")
    words = {"sheet": sheet, "other": os.fsdecode(b"\xe9.xlsx"), "folder": os.fsdecode(b"f\xe9")}
    command = [part.format(**words) for part in command]
    said = subprocess.run(
        [sys.executable, "-m", "bodytest", *command], capture_output=True, cwd=tmp_path, encoding="utf-8", check=False
    )
    assert said.returncode in {0, 1, 2}, said.stderr
    assert harmful(said.stdout + said.stderr) == []
    for written in tmp_path.rglob("results.json"):
        names = [source["name"] for source in json.loads(written.read_bytes().decode("utf-8"))["sheets"]]
        assert names in ([rf"caf\xe9.{kind}"], ["plain.csv"])


def test_long_names_are_clipped_on_the_console_and_whole_in_data(run, tmp_path):
    long = "Clay" * 2500
    sheet = write_csv(tmp_path / "s.csv", (long, "b" * 10_000, "f" * 10_000, "d" * 10_000, "p", ""))
    for command in PRINTING[:19]:
        if "--json" in command or command[0] == "results":
            continue
        code, out, err = run(*filled(command, sheet, long))
        assert code in {0, 1, 2}
        assert max(map(len, (out + err).splitlines()), default=0) <= 1500, command
    _, out, _ = run("results", sheet)
    assert {bar["body"] for bar in json.loads(out)["bars"]} == {f"Body0 {long}", f"Body1 {long}"}
    _, out, _ = run("results", sheet, "--format", "csv")
    assert f"Body0 {long}," in out


def test_a_size_beyond_everything_is_told_in_a_sentence(run, tmp_path):
    sheet = write_csv(tmp_path / "s.csv", ("x",) * 6)
    for size in ("1e308mm", "1e300in", "1e-300mm", "1e999mm"):
        code, out, err = run("size", size, sheet, "--body", "Body0 x", "--firing", "F0x")
        assert (code, out) == (2, "")
        assert f"\nSTOP “{size}” is beyond anything made of clay: a size goes from 0.001 to 1000000 mm here.\n" in err
    for options in (["--within", "1e308mm"], ["--mass", "1e308g"], ["--capacity", "1e308ml"]):
        code, _, err = run("size", "200mm", sheet, "--body", "Body0 x", "--firing", "F0x", *options)
        assert code == 2
        assert "is beyond anything made of clay" in err


@pytest.mark.parametrize("option", ["--sd", "--half-width", "--difference", "--batch-sd", "--bars-each"])
@pytest.mark.parametrize("value", ["1e308", "1e-300", "1" + "0" * 30])
def test_a_number_beyond_everything_is_told_in_a_sentence(run, option, value):
    given = {"--sd": "0.1", "--half-width": "0.1", "--batch-sd": "0.1", option: value}
    code, out, err = run("howmany", *(word for pair in given.items() for word in pair))
    assert (code, out) == (2, "")
    assert f"Error: Invalid value for '{option}'" in err


def test_a_cell_of_a_megabyte_in_a_list_of_parts_is_told_in_a_sentence(run, tmp_path):
    sheet = write_csv(tmp_path / "s.csv", ("x",) * 6)
    for cell, where in (("9" * 1_000_000, "size"), ("9 " * 500_000, "part")):
        parts = Path("parts.csv")
        row = {"part": "lid", "size": "90mm", where: cell}
        parts.write_text(f"part,size\n{row['part']},{row['size']}\n", encoding="utf-8")
        code, out, err = run("size", "--parts", parts, "--from", sheet, "--body", "Body0 x", "--firing", "F0x")
        assert (code, out) == (2, "")
        assert len(err) < 1500
        assert "STOP parts.csv, line 2: " in err
        assert re.search(rf"The {where} is (1000000|999999) signs long: “9[9 ]+…[9 ]*9”\.\n", err)
