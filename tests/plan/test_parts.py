import pytest

from bodytest.errors import BodytestError, NotMeasured, UnusableRequest
from bodytest.plan.measured import Wanted
from bodytest.plan.parts import read_parts, sizes_of_parts
from tests.export.example_results import STAGES, group, results

TWO = results(group(**STAGES), group("Marl Red", "C04", "along", total_shrinkage=(8.0, 0.2, 10)))


@pytest.fixture
def listed(tmp_path):
    def write(text, encoding="utf-8"):
        path = tmp_path / "parts.csv"
        path.write_bytes(text.encode(encoding))
        return path

    return write


def test_each_part_gets_its_own_body(listed):
    path = listed("part,dimension,size,body\njar,height,200mm,Drift Buff\nlid,width,92mm,Marl Red\n")
    found = sizes_of_parts(TWO, read_parts(path))
    # 200 / 0.88 = 227.27; 92 / 0.92 = 100
    assert [(one.name, round(one.at("wet").size_mm, 2)) for one in found] == [
        ("jar height", 227.27),
        ("lid width", 100.0),
    ]


def test_blank_cells_take_what_the_command_said(listed):
    found = sizes_of_parts(TWO, read_parts(listed("size;body\n92mm;\n")), otherwise=Wanted("Marl Red"), within="1mm")
    assert (found[0].body, found[0].within_mm) == ("Marl Red", 1.0)


@pytest.mark.parametrize("text", ["\ufeffPart\tSIZE\njar\t20cm\n", "part ; size\r\njar;20cm\r\n\r\n;\r\n"])
def test_other_separators_marks_and_blank_lines_are_fine(listed, text):
    (part,) = read_parts(listed(text))
    assert (part.name, part.size) == ("jar", "20cm")


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("part,body\njar,x\n",
         "F has the headings part, body; a list of parts needs size and may have part, dimension, size, body, firing,"
         " direction, batch."),
        ("part,size,colour\njar,1mm,red\n",
         "F has the headings part, size, colour; a list of parts needs size and may have part, dimension, size, body,"
         " firing, direction, batch."),
        ("", "F has the headings nothing; a list of parts needs size and may have part, dimension, size, body, firing,"
             " direction, batch."),
        ("part,size\njar,\n", "F, line 2: jar has no size."),
    ],
)  # fmt: skip
def test_a_list_that_cannot_be_meant_is_refused(listed, text, sentence):
    path = listed(text)
    with pytest.raises(UnusableRequest) as caught:
        read_parts(path)
    assert caught.value.finding.sentence.replace(str(path), "F") == sentence


def test_missing_and_foreign_files_are_refused(listed, tmp_path):
    with pytest.raises(UnusableRequest) as caught:
        read_parts(tmp_path / "none.csv")
    assert caught.value.finding.sentence == (
        f"{tmp_path / 'none.csv'} could not be read as a list of parts: No such file or directory."
    )
    path = listed("größe\n", "latin-1")
    with pytest.raises(UnusableRequest) as caught:
        read_parts(path)
    assert caught.value.finding.sentence == f"{path} could not be read as a list of parts: it is not UTF-8 text."


def test_a_part_of_an_unknown_body_is_refused(listed):
    with pytest.raises(NotMeasured):
        sizes_of_parts(TWO, read_parts(listed("size,body\n20mm,Bone Grey\n")))


def test_a_list_without_parts_is_told(listed):
    with pytest.raises(UnusableRequest) as caught:
        read_parts(listed("part,size\n"))
    assert caught.value.finding.sentence.endswith(" holds headings but no parts.")
    assert caught.value.finding.code == "no-parts"


@pytest.mark.parametrize(
    ("row", "sentence"),
    [
        ("abc,Marl Red", "“abc” cannot be read as a size."),
        ("92kg,Marl Red", "“92kg” is a mass, but a size is wanted here."),
        ("20mm,Bone Grey",
         "No fired bars of the body “Bone Grey” were measured. There are: Drift Buff and Marl Red."),
    ],
)  # fmt: skip
def test_a_part_that_cannot_be_planned_is_told_with_its_line(listed, row, sentence):
    path = listed(f"size,body\n92mm,Marl Red\n{row}\n")
    with pytest.raises(BodytestError) as caught:
        sizes_of_parts(TWO, read_parts(path))
    assert (caught.value.finding.place, caught.value.finding.sentence) == (f"{path}, line 3", sentence)
