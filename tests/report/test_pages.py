"""The folder of pages: names, repeatable bytes, self-containedness, honesty about what is left out."""

import re
from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path

import pytest

from bodytest.analysis.analysing import analyse
from bodytest.files.report_folder import replace_report
from bodytest.reading import read_sheets
from bodytest.report.body_part import findings_by_body
from bodytest.report.charts.svg import drawn
from bodytest.report.pages import page_names, report_pages
from bodytest.report.render import css_string, script_json
from tests.report import example_results
from tests.report.example_results import TODAY, Trial, example

OTHERS = ("index.html", "side-by-side.html", "-bench.html", "-certificate.html")
EXAMPLES = ("example", "unfired", "one_bar", "without_absorption", "markup_names")


@cache
def made(name: str) -> dict[str, str]:
    results, _sheets = getattr(example_results, name)()
    return report_pages(results, TODAY)


@pytest.mark.parametrize("name", ["few_bars", "unfired", "markup_names"])
def test_the_same_results_give_the_same_bytes_date_aside(name: str) -> None:
    results, _sheets = getattr(example_results, name)()
    first = report_pages(results, TODAY)
    drawn.cache_clear()
    assert report_pages(results, TODAY) == first
    later = report_pages(results, date(2031, 1, 2))
    assert {page: _unsealed(text.replace("2031-01-02", TODAY.isoformat())) for page, text in later.items()} == {
        page: _unsealed(text) for page, text in first.items()
    }


def test_after_a_save_only_charts_of_the_body_that_changed_are_drawn_again(tmp_path: Path) -> None:
    sheet = tmp_path / "trial.csv"

    def drawn_for(length_mm: float) -> tuple[int, int]:
        lengths = [
            ("Invented Grey", 88.0),
            ("Invented Grey", 88.2),
            ("Invented White", 91.0),
            ("Invented White", length_mm),
        ]
        rows = [f"B{n},{body},1,K1,100.0,94.0,{mm}" for n, (body, mm) in enumerate(lengths)]
        heading = "bar,body,batch,firing,wet length (mm),dry length (mm),fired length (mm)"
        sheet.write_text("\n".join((heading, *rows)), encoding="utf-8")
        before = drawn.cache_info()
        pages = report_pages(analyse(read_sheets([sheet])), TODAY)
        assert f"{length_mm:.1f}" in pages["invented-white.html"]
        after = drawn.cache_info()
        return after.misses - before.misses, after.hits - before.hits

    drawn.cache_clear()
    assert drawn_for(91.2) == (4, 0)
    assert drawn_for(91.4) == (2, 2)
    assert drawn_for(91.4) == (0, 4)


def _unsealed(text: str) -> str:
    """Leave out the seal, which is made of the text with its date."""
    return re.sub("<!-- bodytest:[0-9a-f]{64} -->", "", text)


@pytest.mark.parametrize("name", EXAMPLES)
def test_a_page_needs_nothing_from_outside(name: str) -> None:
    for text in made(name).values():
        assert re.findall(r"""(?:src|href)=["'](?!#|data:|[a-z0-9-]+\.(?:html|json|csv)["'])""", text) == []
        assert "url(http" not in text
        assert "@import" not in text


def test_pages_are_named_after_their_bodies_and_never_over_each_other(tmp_path: Path) -> None:
    names = ("Index", "../../etc/passwd", "Marl Red", "marl-red", "Side by side", "粘土")
    results, _sheets = example(tuple(Trial(name, "K", "", "6", 1222.0) for name in names))
    assert [*page_names(results).values()] == [
        "index-2.html", "etc-passwd.html", "marl-red.html", "marl-red-2.html", "side-by-side-2.html", "7c98-571f.html",
    ]  # fmt: skip
    made = report_pages(results, TODAY)
    replace_report(tmp_path / "out", made)
    assert sorted(path.name for path in tmp_path.rglob("*.html")) == sorted(made)
    assert {path.parent for path in tmp_path.rglob("*.html")} == {tmp_path / "out"}


def test_every_bar_is_on_its_page_with_flag_and_reason() -> None:
    results, _ = example()
    page = made("example")["chalk-white.html"]
    for bar in results.bars.loc[results.bars["body"] == "Chalk White", "bar"]:
        assert page.count(f">{bar}<") >= 2
    assert "<small>left out: cracked in drying</small>" in page
    assert "<small>stands apart</small>" in page


def test_nothing_measured_still_gives_an_index_with_the_findings() -> None:
    results, _sheets = example()
    none = replace(results, groups=(), bars=results.bars.iloc[:0], responses=(), pieces=())
    pages = report_pages(none, TODAY)
    assert set(pages) == {"index.html", "side-by-side.html"}
    assert "No bar in the sheets can be used yet; the findings say why." in pages["index.html"]
    assert "which is no number." in pages["index.html"]


def test_a_name_from_right_to_left_does_not_turn_the_numbers_beside_it() -> None:
    results = example((Trial("طين أحمر", "K", "", "6", 1222.0, {"": 6}),))[0]
    page = report_pages(results, TODAY)["637-64a-646-623-62d-645-631.html"]
    assert "Make \u2068طين أحمر\u2069 1.1" in page


def test_one_bar_has_sizes_without_a_column_of_ranges() -> None:
    page = made("one_bar")["marl-red.html"]
    assert "Make it wet, mm" in page
    assert "Will finish, mm" not in page


def test_a_decimal_comma_reaches_tables_charts_and_the_helper() -> None:
    results, _sheets = example_results.few_bars()
    page = report_pages(results, TODAY, ",")["drift-buff.html"]
    tables = re.sub(r"<(style|script|svg).*?</\1>", "", page, flags=re.DOTALL)
    assert re.search(r"\d,\d\d ± \d,\d\d", tables.replace("\N{NO-BREAK SPACE}", " "))
    assert '"decimal_sign":","' in page


def test_what_hurts_and_what_is_not_proved_is_on_every_body_page() -> None:
    for name in EXAMPLES:
        bodies = [text for page, text in made(name).items() if not page.endswith(OTHERS)]
        assert bodies
        for text in bodies:
            assert "Low absorption does not prove that ware is safe for food" in text
            assert "Low absorption does not prove that ware stands frost" in text
            assert "Local codes, the kiln maker" in text


def test_text_put_into_a_script_or_a_style_cannot_end_it() -> None:
    assert "</script" not in script_json({"a": "</script><!--"})
    assert css_string('x"; } </style>') == r"x\22 \3b  \7d  \3c \2f style\3e "


def test_a_body_called_like_the_bench_sheet_of_another_has_files_of_its_own() -> None:
    trials = tuple(Trial(body, "F1", "along", "6", 1222.0) for body in ("Marl bench", "Marl", "Side by side"))
    results, _ = example(trials)
    assert [*page_names(results).values()] == ["marl-bench.html", "marl-2.html", "side-by-side-2.html"]


def test_a_body_called_like_the_certificate_of_another_has_files_of_its_own() -> None:
    results, _ = example(tuple(Trial(body, "F1", "along", "6", 1222.0) for body in ("Marl certificate", "Marl")))
    assert [*page_names(results).values()] == ["marl-certificate.html", "marl-2.html"]


def test_a_body_with_a_limit_has_a_certificate_to_which_its_page_leads() -> None:
    for name, limited in (("example", True), ("without_absorption", False), ("unfired", False)):
        made_pages = made(name)
        bodies = [page for page in made_pages if not page.endswith(OTHERS)]
        for page in bodies:
            certificate = page.replace(".html", "-certificate.html")
            assert (certificate in made_pages) is limited
            assert (f'<a href="{certificate}">' in made_pages[page]) is limited
            assert ('id="table-checklist"' in made_pages[page]) is not limited, "it stands on the certificate"
            if limited:
                limits = made_pages[certificate].split('id="table-limits"')[1].split("</table>")[0]
                for told in ("§7.8.6", "by which rule", "Risk of a wrong verdict"):
                    assert told in limits


def test_of_a_body_that_was_not_fired_no_programme_is_counted() -> None:
    pages = made("unfired")
    (page,) = (html for name, html in pages.items() if not name.endswith(OTHERS))
    assert "; no programme measured so far." in page


def test_a_page_lists_what_was_found_in_its_own_bars(tmp_path: Path) -> None:
    lines = ["bar,body,batch,firing,wet length (mm),fired length (mm)", "A1,Marl,D1,F1,100.0,88.0"]
    (tmp_path / "two.csv").write_text("\n".join([*lines, "B1,Buff,D1,F1,100.0,188.0"]), encoding="utf-8")
    results = analyse(read_sheets([tmp_path / "two.csv"]))
    buff, marl = ([one.code for one in findings_by_body(results)[body]] for body in ("Buff", "Marl"))
    assert "beyond-clay" in buff
    assert marl == [code for code in buff if code != "beyond-clay"]
