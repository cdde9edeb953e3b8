"""The page of a body whose programme was fired in several loads answers for all of them together."""

import re
from datetime import date

from bodytest.reading import read_sheets
from bodytest.report.body_part import body_parts
from bodytest.report.pages import report_pages
from bodytest.report.sections.answer import answer
from bodytest.report.sections.sizes import size_helper
from tests.analysis.test_programmes import analysed, six_loads
from tests.report.test_answer import VOICE, plain


def test_six_loads_answer_together_and_say_whom_they_speak_of(tmp_path):
    (part,) = body_parts(six_loads(tmp_path))
    found = answer(VOICE, part.choice, 0.95)

    assert plain(found.sentence).startswith(
        "Make Marl 1.136 times its finished size: fired to cone 6 (nominally 1222 °C) it shrinks 12.0 ± 0.5 %"
    )
    assert "Rests on 30 bars, measured along. It speaks of this batch only, in any load." in plain(found.footing)
    helper = size_helper(VOICE, part.planned, part.choice, 0.95)
    assert [plain(one.name) for one in helper.firings][:2] == [
        "cone 6 (nominally 1222 °C)",
        "L1 (cone 6, nominally 1222 °C)",
    ]


def test_no_page_shows_a_size_of_a_body_that_is_not_known_well_enough(tmp_path):
    bars = [
        ("D1", load, mean + off) for load, mean in (("L1", 10.0), ("L2", 12.0), ("L3", 14.0)) for off in (-0.1, 0.1)
    ]
    results = analysed(tmp_path, bars, [["firing", "kiln", "cone"], *([f"L{n}", "small", "6"] for n in (1, 2, 3))])
    assert [one.known for one in results.answers] == [False]

    pages = report_pages(results, read_sheets([tmp_path / "bars.xlsx"]), date(2026, 3, 14))
    texts = {name: shown(page) for name, page in pages.items()}
    body = texts["marl.html"]
    assert "Not known well enough yet: How much Marl shrinks at cone 6 is known to ± 5.0 percentage points only" in body
    assert "Size factor not yet known Shrinkage is not known well enough yet to plan a size with." in body
    assert "No sizes yet: shrinkage is not known well enough to plan with. What to do stands at the top." in body
    assert "Make Marl" not in body
    assert "1.136" not in texts["index.html"] + texts["side-by-side.html"]  # 100 / (100 - 12.0)
    assert "Size factor – Wet size of a finished 200 mm –" in texts["side-by-side.html"]


def shown(page: str) -> str:
    without = re.sub(r"<(style|script|svg).*?</\1>", "", page, flags=re.DOTALL)
    return " ".join(plain(re.sub(r"<[^>]+>", " ", without)).split())
