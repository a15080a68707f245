"""Label templates: those that come with the tool, and what is said about one that cannot be printed."""

from pathlib import Path

import pytest

from intake.edges import templates
from intake.errors import FileError, UsageError
from intake.model.papers import LabelUse

GOOD = """
[sheet]
width_mm = 210
height_mm = 297
left_mm = 5
top_mm = 5
pitch_x_mm = 70
pitch_y_mm = 40
label_width_mm = 60
label_height_mm = 35
columns = 3
rows = 7

[shelf]
field = [
    { text = "Shelf {number}", x_mm = 2, y_mm = 2, width_mm = 30, height_mm = 8, size_pt = [8, 12], bold = true },
    { text = "{number}", symbol = "qr", x_mm = 34, y_mm = 2, width_mm = 24, height_mm = 24, module_mm = [0.5, 0.8] },
]
rule = [{ x_mm = 2, y_mm = 12, width_mm = 30, height_mm = 0 }]
"""


def write(folder: Path, text: str) -> str:
    path = folder / "mine.toml"
    path.write_text(text, encoding="utf-8")
    return str(path)


def test_a_file_of_ones_own(tmp_path: Path) -> None:
    template = templates.read(write(tmp_path, GOOD), LabelUse.SHELF)
    assert (template.name, template.columns, template.rows, len(template.fields)) == ("mine", 3, 7, 2)
    assert template.fields[0].bold
    assert template.fields[1].module_mm == (0.5, 0.8)


def test_every_shipped_template_can_be_read() -> None:
    assert {"a4-3x8", "letter-3x10", "roll-62", "a4-2x4", "a5-1x1", "a4-5x13"} <= set(templates.names())
    for name in templates.names():
        found = 0
        for use in LabelUse:
            try:
                template = templates.read(name, use)
            except UsageError:
                continue
            found += 1
            assert template.name == name
        assert found


@pytest.mark.parametrize(("name", "size"), [("a4", (210, 297)), ("letter", (215.9, 279.4)), ("a5", (148, 210))])
def test_sheets_have_the_size_of_their_name(name: str, size: tuple[float, float]) -> None:
    # ISO 216 and ANSI/ASME Y14.1.
    for template in templates.names():
        if template.startswith(f"{name}-"):
            columns, rows = template.removeprefix(f"{name}-").split("x")
            for use in LabelUse:
                try:
                    read = templates.read(template, use)
                except UsageError:
                    continue
                assert (read.paper_width_mm, read.paper_height_mm) == size
                assert (read.columns, read.rows) == (int(columns), int(rows))


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("left_mm = 5\n", "", "left_mm"),
        ("left_mm", "lft_mm", "'left_mm'"),
        ('{number}", symbol', '{nmber}", symbol', "'number'"),
        ("[shelf]", "[shlf]", "'shelf'"),
        ("bold = true", "bolt = true", "'bold'"),
        ('symbol = "qr"', 'symbol = "qrcode"', "'qr'"),
        ("pitch_x_mm = 70", "pitch_x_mm = 50", "overlap"),
        ("columns = 3", "columns = 4", "columns"),
        ("columns = 3", "columns = 2.5", "columns"),
        ("rows = 7", "rows = 0", "rows"),
        ("rows = 7", 'rows = "7"', "rows"),
        ("x_mm = 34", "x_mm = 30", "overlaps"),
        ("x_mm = 34", "x_mm = 40", "leaves"),
        ("width_mm = 30, height_mm = 8", "width_mm = 30, height_mm = 2", "lower"),
        ("width_mm = 24, height_mm = 24", "width_mm = 10, height_mm = 24", "small"),
        ("[8, 12]", "[12, 8]", "size_pt"),
        ('{number}", symbol', '{number", symbol', "braces"),
        ("[sheet]", "[sheet", "TOML"),
        ("module_mm = [0.5, 0.8]", "module_mm = [0.4, 0.8]", "0.5 is the least"),
        ("rule = [{ x_mm = 2", "rule = [{ x_mm = 40", "leaves"),
    ],
)
def test_a_mistake_is_named_with_its_file_and_mend(tmp_path: Path, old: str, new: str, said: str) -> None:
    assert old in GOOD
    name = write(tmp_path, GOOD.replace(old, new, 1))
    with pytest.raises(FileError) as caught:
        templates.read(name, LabelUse.SHELF)
    assert "mine.toml" in caught.value.thing
    assert said in str(caught.value)


def test_a_sheet_and_a_roll_in_one_file_are_refused(tmp_path: Path) -> None:
    with pytest.raises(FileError):
        templates.read(write(tmp_path, GOOD + "[roll]\nwidth_mm = 62\nlength_mm = 30\n"), LabelUse.SHELF)


def test_a_near_miss_of_a_name_is_suggested() -> None:
    with pytest.raises(UsageError) as caught:
        templates.read("a4-3x9", LabelUse.SHELF)
    assert "a4-3x8" in caught.value.remedy


def test_a_use_that_a_template_does_not_have(tmp_path: Path) -> None:
    with pytest.raises(UsageError) as caught:
        templates.read(write(tmp_path, GOOD), LabelUse.BOX)
    assert "shelf" in caught.value.why


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(FileError):
        templates.read(str(tmp_path / "none.toml"), LabelUse.SHELF)
