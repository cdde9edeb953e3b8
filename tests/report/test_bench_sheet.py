"""The bench sheet on paper: one page whatever the body is called, and measured on the print."""

import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from typer.testing import CliRunner

from bodytest.cli.app import app, main

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser
DEMO = Path(__file__).parents[2] / "sheets" / "demo-complete.xlsx"
DPI = 300
MM = DPI / 25.4
PAPERS = {"A4": (210, 297), "Letter": (216, 279)}
HEAD = "bar,body,batch,firing,direction,wet length (mm),fired length (mm),fired mass (g),boiled mass (g),cone\n"
OFFS = (-0.3, 0.1, 0.0, 0.2, -0.1, 0.3)
TOLD = (
    "Make it wet × 1.139 its finished size", "height (6 real pieces) 1.151", "92 mm along 104.8 mm",
    "7.5 in height (6 real pieces) 8.64 in", "It speaks of any batch in any load.", "Page 1 of 1",
)  # fmt: skip
LONG = "Clay dug behind the old brickworks " * 6
DIRECTIONS = ("along", "across", "height", "rim", "foot", "handle, which is pulled and not thrown", "lid", "spout")
BODIES: dict[str, dict[str, Any]] = {
    "long": {"body": LONG, "firing": "the kiln behind the house with the green door, to cone 6"},
    "eight directions": {"directions": DIRECTIONS},
    "right to left": {"body": "طين أحمر من الوادي", "directions": ("طولا",)},
    "no absorption": {"boiled": ""},
    "growing": {"shrinkage": -0.42},
    "growing much": {"shrinkage": -5.0},
    "shrinking by half": {"shrinkage": 50.0},
    "one bar": {"bars": 1},
    "loads too far apart": {"apart": 3.0},
    "no result": {"shrinkage": None, "boiled": ""},
}


def sheet(
    folder: Path, *, body: str = "Grey", firing: str = "F", directions: tuple[str, ...] = ("along",),
    shrinkage: float | None = 12.0, boiled: object = 101.5, bars: int = 6, apart: float = 0.0,
) -> Path:  # fmt: skip
    """Write an invented body in two loads that lie so many points apart."""
    lines = []
    for load, more in ((firing, 0.0), (f"{firing} 2", apart)):
        for place, direction in enumerate(directions):
            for number, off in enumerate(OFFS[:bars]):
                fired = "" if shrinkage is None else round(100 - shrinkage - more - off - 0.1 * place, 2)
                cells = (f"{load}{place}{number}", body, "B1", load, direction, 100.0, fired, 100.0, boiled, "6")
                lines.append(",".join(f'"{cell}"' for cell in cells))
    path = folder / "trial.csv"
    path.write_text(HEAD + "\n".join(lines) + "\n", encoding="utf-8")
    return path


def report(path: Path, out: Path, *sizes: str) -> list[Path]:
    """Run the command; return the bench sheets."""
    done = CliRunner().invoke(app, ["report", str(path), "--out", str(out), *sizes])
    assert done.exit_code == 0, done.output
    return sorted(out.glob("*-bench.html"))


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    return report(DEMO, tmp_path_factory.mktemp("demo"), "--sizes", "92mm,height=7.5in")


@pytest.fixture(scope="module")
def printed(chromium: "Browser", tmp_path_factory: pytest.TempPathFactory) -> Callable[[Path, str], Path]:
    folder = tmp_path_factory.mktemp("printed")

    def to_pdf(page: Path, paper: str, fragment: str = "") -> Path:
        made = folder / f"{len(list(folder.iterdir()))}.pdf"
        context = chromium.new_context(offline=True)
        opened = context.new_page()
        opened.goto(page.as_uri() + fragment)
        opened.pdf(path=str(made), format=paper)
        context.close()
        return made

    return to_pdf


def picture(pdf: Path) -> np.ndarray[Any, Any]:
    subprocess.run(["pdftoppm", "-r", str(DPI), "-singlefile", pdf, pdf.with_suffix("")], check=True)
    head = re.match(rb"P6\n(\d+) (\d+)\n255\n", raw := pdf.with_suffix(".ppm").read_bytes())
    assert head is not None
    width, height = int(head[1]), int(head[2])
    return np.frombuffer(raw[head.end() :], np.uint8).reshape(height, width, 3)


def text_of(pdf: Path) -> str:
    done = subprocess.run(["pdftotext", "-layout", pdf, "-"], check=True, capture_output=True, text=True)
    return " ".join(done.stdout.split())


def longest_run(row: np.ndarray[Any, Any]) -> tuple[int, int]:
    """Return where the longest run of true begins and ends."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], row.astype(np.int8), [0]))))
    starts, ends = edges[::2], edges[1::2]
    longest = int(np.argmax(ends - starts)) if len(starts) else 0
    return (int(starts[longest]), int(ends[longest])) if len(starts) else (0, 0)


def check_line_mm(pixels: np.ndarray[Any, Any]) -> float:
    """Return the length of the black bar that is at least 0.6 mm thick and over 50 mm long."""
    black = pixels.max(axis=2) < 60
    runs = [(end - start) / MM for start, end in map(longest_run, black)]
    thick = [row for row in range(len(runs) - 7) if all(50 < run < 150 for run in runs[row : row + 7])]
    assert thick, "no check line"
    return float(np.median(runs[thick[0] : thick[-1] + 7]))


def box_mm(mask: np.ndarray[Any, Any]) -> tuple[float, float]:
    rows, columns = np.flatnonzero(mask.any(axis=1)), np.flatnonzero(mask.any(axis=0))
    return (columns[-1] - columns[0] + 1) / MM, (rows[-1] - rows[0] + 1) / MM


def coloured(pixels: np.ndarray[Any, Any], red: int, green: int, blue: int) -> np.ndarray[Any, Any]:
    return np.abs(pixels.astype(int) - (red, green, blue)).max(axis=2) < 5


def outlines_mm(pixels: np.ndarray[Any, Any], largest: float) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return width and height of the fired outline, which is filled, and of the wet one, which is dashed."""
    right = pixels[int(30 * MM) : int(130 * MM), int(105 * MM) :]
    filled = coloured(right, 0xEB, 0xE3, 0xDC)
    filled[[row for row, (start, end) in enumerate(map(longest_run, filled)) if end - start < 3 * MM]] = False
    rows, columns = np.flatnonzero(filled.any(axis=1)), np.flatnonzero(filled.any(axis=0))
    bottom, start = rows[-1], columns[0]
    room = int((largest + 2) * MM)
    around = coloured(right, 0x7D, 0x2C, 0x13)[max(0, bottom - room) : bottom + 12, max(0, start - 12) : start + room]
    return box_mm(filled), box_mm(around)


@pytest.mark.parametrize("paper", PAPERS)
def test_every_sheet_of_the_demo_is_one_page_with_a_line_of_100_mm(
    demo: list[Path], printed: Callable[[Path, str], Path], paper: str
) -> None:
    from pypdf import PdfReader

    names = ["chalk-white", "check-grey", "drift-buff", "marl-red"]
    assert [path.name for path in demo] == [f"{name}-bench.html" for name in names]
    for path in demo:
        pdf = printed(path, paper)
        (leaf,) = PdfReader(pdf).pages
        size = [round(float(side) * 25.4 / 72) for side in (leaf.mediabox.width, leaf.mediabox.height)]
        assert size == pytest.approx(PAPERS[paper], abs=1)
        assert check_line_mm(picture(pdf)) == pytest.approx(100.0, abs=0.2)
    text = text_of(printed(demo[2], paper))
    assert [told for told in TOLD if told not in text] == []


def test_a_bar_and_its_load_stand_apart_in_the_printed_readings(
    demo: list[Path], printed: Callable[[Path, str], Path]
) -> None:
    text = text_of(printed(demo[2].with_name("drift-buff.html"), "A4"))
    assert "DB1F2" not in text


@pytest.mark.parametrize("kind", BODIES)
def test_whatever_the_body_its_sheet_is_one_page(
    tmp_path: Path, printed: Callable[[Path, str], Path], kind: str
) -> None:
    from pypdf import PdfReader

    sizes = ",".join(f"{size}in" for size in range(2, 10))
    (path,) = report(sheet(tmp_path, **BODIES[kind]), tmp_path / "report", "--sizes", sizes)
    for paper in PAPERS:
        pdf = printed(path, paper)
        assert len(PdfReader(pdf).pages) == 1, paper
        assert check_line_mm(picture(pdf)) == pytest.approx(100.0, abs=0.2)
    text = text_of(pdf)
    unknown = kind in {"loads too far apart", "no result"}
    assert ("Not known well enough yet" in text) == unknown
    assert ("Sizes to make" in text) != unknown
    assert "What to test next" in text


def test_a_sheet_in_inches_gets_its_common_sizes_in_inches(tmp_path: Path, open_page: "Callable[..., Page]") -> None:
    rows = "".join(f"{n},Grey,B1,F,along,4.00,{fired},0.75\n" for n, fired in enumerate((3.52, 3.53, 3.52, 3.51)))
    path = tmp_path / "inches.csv"
    lengths = "wet length (in),fired length (in),bar diameter (in)"
    path.write_text(f"bar,body,batch,firing,direction,{lengths}\n{rows}", encoding="utf-8")
    (bench,) = report(path, tmp_path / "report")
    page = open_page(bench.with_name("grey.html"))
    assert page.locator("#table-ready-sizes tbody > tr > :nth-child(-n+2)").all_text_contents()[:2] == ["1", "1.14"]
    assert page.locator("#wet-size strong").text_content() == "9.09 in wet"
    assert "bar diameter, in" in page.locator("#table-readings th").all_text_contents()
    assert "A finished 8\xa0in starts at 9.09\xa0in wet." in (page.locator(".meaning").first.text_content() or "")
    beside = open_page(bench.with_name("side-by-side.html")).locator("tr", has_text="Wet size of a finished 8\xa0in")
    assert beside.locator("td").text_content() == "9.09\xa0in"
    printed = open_page(bench)
    assert printed.locator("#outlines text").first.text_content() == "fired 2\xa0in"
    assert printed.locator("#edge-ruler text").all_text_contents()[1:4] == ["0", "1", "2"]
    sizes = printed.locator("#table-sizes")
    assert sizes.locator("caption").text_content() == "Sizes to make, in"
    assert sizes.locator("tbody > tr > :nth-child(-n+2)").all_text_contents()[:2] == ["1", "1.14"]


def test_a_range_too_narrow_for_two_decimals_shows_more_in_print_and_on_the_screen(
    tmp_path: Path, open_page: "Callable[..., Page]"
) -> None:
    path, plain = (
        report(sheet(tmp_path), tmp_path / out, *sizes)[0] for out, sizes in (("a", ("--sizes", "0.2in")), ("b", ()))
    )
    page = open_page(plain)
    page.get_by_label("Your own sizes, to print").fill("0.2in")
    for shown in (open_page(path), page):
        assert shown.locator("#table-own-sizes tbody td").last.text_content() == "0.199 to 0.201"


@pytest.mark.parametrize(
    ("kind", "side", "factors"),
    [("eight directions", 50.0, (100 / 87.967, 100 / 87.867)), ("growing much", 60.0, (100 / 104.967,) * 2),
     ("shrinking by half", 30.0, (100 / 49.967,) * 2)],
)  # fmt: skip
def test_both_outlines_are_printed_in_full_size(
    tmp_path: Path, printed: Callable[[Path, str], Path], kind: str, side: float,
    factors: tuple[float, float],
) -> None:  # fmt: skip
    (path,) = report(sheet(tmp_path, **BODIES[kind]), tmp_path / "report")
    fired, wet = outlines_mm(picture(printed(path, "A4")), 62.0)
    assert fired == pytest.approx((side, side), abs=0.35)
    assert wet == pytest.approx([side * factor for factor in factors], abs=0.5)


def test_the_helper_hands_its_size_to_the_sheet_which_prints_it(
    demo: list[Path], open_page: "Callable[..., Page]"
) -> None:
    page = open_page(demo[2].with_name("drift-buff.html"))
    page.get_by_label("Direction or dimension").select_option(label="across")
    page.get_by_label("Unit").select_option("in")
    page.get_by_label("Finished size").fill("7.5")
    made = page.locator("#wet-size strong").text_content()
    page.get_by_role("link", name="Print the bench sheet with this size").click()
    cells = page.locator("#table-own-sizes tbody > tr > *").all_text_contents()
    assert cells[:2] == ["7.5 in", "across"]
    assert f"{cells[2]} wet" == made
    field = page.get_by_label("Your own sizes, to print")
    assert field.input_value() == "across=7.5in"
    field.fill("92mm, 7,5in; height=20 cm, spout=3in")
    rows = [row.inner_text().split("\t") for row in page.locator("#table-own-sizes tbody tr").all()]
    assert [[row[0], row[1]] for row in rows] == [
        ["92 mm", "along"], ["7.5 in", "along"], ["20 cm", "height (6 real pieces)"], ["spout 3 in", "along"],
    ]  # fmt: skip
    field.fill("92mm, big")
    assert page.locator("#own-told").text_content() == "“big” is no size. Type a number with mm, cm or in."
    field.fill(",".join(["9mm"] * 9))
    assert page.locator("#own-told").text_content() == "Only the first 8 sizes fit on the page."


def test_a_load_other_than_the_answer_hands_no_size_on(demo: list[Path], open_page: "Callable[..., Page]") -> None:
    page = open_page(demo[2].with_name("drift-buff.html"))
    assert page.locator("#print-sizes").get_attribute("href").endswith("#sizes=along%3D200mm")  # type: ignore[union-attr]
    page.get_by_label("Programme or load", exact=True).select_option("0")
    link = page.get_by_role("link", name="Bench sheet to print")
    assert (link.get_attribute("href") or "").endswith("drift-buff-bench.html")


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("92", "“92” has no unit."),
        ("big", "“big” cannot be read as a size."),
        (",".join(["9mm"] * 9), "9 sizes do not fit on a bench sheet; give at most 8."),
    ],
)
def test_a_size_that_cannot_be_meant_is_told_before_anything_is_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], typed: str, told: str
) -> None:
    monkeypatch.setattr(sys, "argv", ["bodytest", "report", str(DEMO), "--sizes", typed, "--out", str(tmp_path / "r")])
    with pytest.raises(SystemExit) as ended:
        main()
    assert ended.value.code == 2
    assert told in " ".join(capsys.readouterr().err.split())
    assert not (tmp_path / "r").exists()


def test_a_body_that_is_not_fired_yet_is_not_said_to_be_fired_to_a_cone(tmp_path: Path) -> None:
    pages = report(DEMO.with_name("demo-half-filled.xlsx"), tmp_path / "half")
    told = {page.stem: "fired to cone" in page.read_text(encoding="utf-8") for page in pages}
    assert told == {"chalk-white-bench": True, "check-grey-bench": False, "drift-buff-bench": False}


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("width", [320, 1280])
def test_the_sheet_is_readable_on_a_screen(
    demo: list[Path], open_page: "Callable[..., Page]", width: int, dark: bool
) -> None:
    from axe_playwright_python.sync_playwright import Axe

    for path in (demo[0], demo[2]):
        page = open_page(path, width=width, dark=dark)
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        small = "[...document.querySelectorAll('svg text')].filter((t) => t.getBoundingClientRect().height < 11).length"
        assert page.evaluate(small) == 0
        for rules in (["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"], ["color-contrast-enhanced"]):
            found = Axe().run(page, options={"runOnly": rules})
            assert found.violations_count == 0, found.generate_report()
