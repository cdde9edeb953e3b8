"""The page of a body whose programme was fired in several loads answers for all of them together."""

from bodytest.report.body_part import body_parts
from bodytest.report.sections.answer import answer
from bodytest.report.sections.sizes import size_helper
from tests.analysis.test_programmes import six_loads
from tests.report.test_answer import VOICE, plain


def test_six_loads_answer_together_and_say_whom_they_speak_of(tmp_path):
    (part,) = body_parts(six_loads(tmp_path))
    found = answer(VOICE, part.choice, 0.95)

    assert plain(found.sentence).startswith(
        "Make Marl 1.136 times its finished size: fired in 6 loads (cone 6, nominally 1222 °C) it shrinks 12.0 ± 0.5 %"
    )
    assert "It speaks of this batch of clay only. It speaks of any load of this programme." in plain(found.footing)
    helper = size_helper(VOICE, part.planned, part.choice, 0.95)
    assert [plain(one.name) for one in helper.firings][:2] == [
        "6 loads (cone 6, nominally 1222 °C)",
        "L1 (cone 6, nominally 1222 °C)",
    ]
