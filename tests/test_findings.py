import string

import pytest

from bodytest.findings import Finding, catalogue, finding, worst_level


@pytest.mark.parametrize("code", list(catalogue()))
def test_each_code_says_what_why_and_what_to_do_in_whole_sentences(code):
    entry = catalogue()[code]
    assert entry.level in {"stop", "ask", "note"}
    assert code == code.lower()
    for text in (entry.sentence, entry.remedy, entry.why):
        assert text.rstrip().endswith((".", "}", "?")), text
    assert entry.title[0].islower() or entry.title[0].isdigit() or entry.title[0] in "#%"


@pytest.mark.parametrize("code", list(catalogue()))
def test_each_blank_of_a_sentence_has_a_plain_name(code):
    entry = catalogue()[code]
    for template in (entry.sentence, entry.remedy):
        names = [name for _, name, _, _ in string.Formatter().parse(template) if name is not None]
        assert all(name.isidentifier() for name in names)


def test_a_finding_fills_the_sentence_of_its_code():
    found = finding("file-not-found", sheet="trial.xlsx")
    assert found.sentence == "There is no file named trial.xlsx here."
    assert found.level == "stop"
    assert found.place == "trial.xlsx"


def test_a_blank_left_unfilled_is_a_fault_of_the_program():
    with pytest.raises(KeyError):
        finding("cannot-write", sheet="x")


def test_the_worst_level_decides():
    note, ask = (Finding("c", level, None, None, None, "", "") for level in ("note", "ask"))
    assert worst_level([note, ask]) == "ask"
    assert worst_level([]) is None
