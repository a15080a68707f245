"""Labels in every template: read back from the rendered sheet, in their places, and nothing over the edge."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import combinations

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from intake.documents import disclaimers, distinct_texts, labels
from intake.documents.grid import slots
from intake.documents.text_fit import Setter
from intake.edges import fonts, templates
from intake.errors import UsageError
from intake.flow.moving.lift import BoxLift, caution_words, short_mass_words
from intake.model.label_rules import VIEWED_FIGURE_MM
from intake.model.pages import Align, Page, Symbol, Text
from intake.model.papers import CONTENT_KEYS, LabelField, LabelTemplate, LabelUse, SymbolKind
from intake.units.convert import mm_to_px, pt_to_mm
from tests.drawn_examples import examples

Grey = npt.NDArray[np.uint8]
Render = Callable[[Sequence[Page], float], list[Grey]]
LETTERS = {LabelUse.SHELF: "S", LabelUse.FLAG: "A", LabelUse.BOX: "B", LabelUse.SPINE: "A"}


def all_templates() -> list[LabelTemplate]:
    found = []
    for name in templates.names():
        for use in LabelUse:
            try:
                found.append(templates.read(name, use))
            except UsageError:  # the template has no such use
                continue
    return found


ALL = all_templates()
WITH_SYMBOL = [template for template in ALL if any(field.symbol for field in template.fields)]
every_template = pytest.mark.parametrize("template", ALL, ids=lambda t: f"{t.name}-{t.use}")


def content(template: LabelTemplate, serial: int) -> dict[str, str]:
    """Invented throughout; the check digits do not matter here."""
    number = f"{LETTERS[template.use]}{serial}-{serial % 97:02d}"
    return {
        "number": number,
        "shelfmark": "Küste 3.12",
        "title": "Die Gräser der Küste: ein Führer für Wanderer, mit 200 farbigen Tafeln",
        "contributors": "Irma Tessendorf; Ottokar Brindlmayer",
        "volume": "2",
        "box": str(serial),
        "room": "Study",
        "place": "Case 2, shelf 4",
        "range": "Algen – Gräser",
        "count": "23 books",
        "mass": "18.40 kg",
        "consignment": "MV-2291",
        "box_of": f"{serial} of 41",
        "marks": "Keep dry. This way up.",
        "caution": "Heavy: two people" if template.use is LabelUse.BOX else "",
    }


def full_sheet(template: LabelTemplate) -> tuple[list[str], list[Page]]:
    contents = [content(template, 101 + n) for n in range(template.columns * template.rows)]
    return [one["number"] for one in contents], labels.lay_out(template, contents, measure=fonts.measure)


def test_every_use_has_a_template_on_a4_letter_and_roll() -> None:
    for use in LabelUse:
        names = {template.name.split("-")[0] for template in ALL if template.use is use}
        assert {"a4", "letter", "roll"} <= names


@pytest.mark.parametrize("dpi", [300, 203])
@every_template
def test_zbar_reads_every_label_of_a_full_sheet(render: Render, template: LabelTemplate, dpi: int) -> None:
    pyzbar = pytest.importorskip("pyzbar.pyzbar", reason="ZBar's shared library is not installed", exc_type=ImportError)
    numbers, pages = full_sheet(template)
    (grey,) = render(pages, dpi)
    wanted = sorted({"qr": "QRCODE", "code128": "CODE128"}[field.symbol] for field in template.fields if field.symbol)
    for number, slot in zip(numbers, slots(template), strict=False):
        top, left = round(mm_to_px(slot.y_mm, dpi)), round(mm_to_px(slot.x_mm, dpi))
        height, width = mm_to_px(template.label_height_mm, dpi), mm_to_px(template.label_width_mm, dpi)
        label = np.ascontiguousarray(grey[top : top + int(height), left : left + int(width)])
        found = pyzbar.decode(label, symbols=[pyzbar.ZBarSymbol.QRCODE, pyzbar.ZBarSymbol.CODE128])
        assert sorted(one.type for one in found) == wanted
        assert {one.data.decode() for one in found} <= {number}


@pytest.mark.parametrize("template", WITH_SYMBOL, ids=lambda t: f"{t.name}-{t.use}")
def test_labels_stand_where_the_template_says(render: Render, template: LabelTemplate) -> None:
    dpi = 400
    _, pages = full_sheet(template)
    (grey,) = render(pages, dpi)
    field = next(field for field in template.fields if field.symbol is SymbolKind.QR)
    module = next(mark.module_mm for mark in pages[0].marks if isinstance(mark, Symbol) and len(mark.rows) == 21)
    for label in (0, template.columns - 1, template.columns * template.rows - 1):
        row, column = divmod(label, template.columns)
        x = template.left_mm + column * template.pitch_x_mm + field.x_mm
        y = template.top_mm + row * template.pitch_y_mm + field.y_mm
        top, left = round(mm_to_px(y, dpi)), round(mm_to_px(x, dpi))
        part = grey[top : round(mm_to_px(y + field.height_mm, dpi)), left : round(mm_to_px(x + field.width_mm, dpi))]
        ys, xs = np.nonzero(part < 128)
        assert (left + xs.min()) / mm_to_px(1, dpi) == pytest.approx(x + 4 * module, abs=0.2)
        assert (top + ys.min()) / mm_to_px(1, dpi) == pytest.approx(y + 4 * module, abs=0.2)
        assert (xs.max() + 1 - xs.min()) / mm_to_px(1, dpi) == pytest.approx(21 * module, abs=0.2)


@every_template
def test_the_number_can_be_read_as_text(
    read_text: Callable[[Sequence[Page]], list[str]], template: LabelTemplate
) -> None:
    numbers, pages = full_sheet(template)
    (text,) = read_text(pages)
    assert all(number in text for number in numbers)


def rectangle(mark: Text | Symbol) -> tuple[float, float, float, float]:
    """Return left, top, right, bottom of a mark."""
    if isinstance(mark, Symbol):
        return mark.x_mm, mark.y_mm, mark.x_mm + mark.width_mm, mark.y_mm + mark.height_mm
    width, em = fonts.measure(mark.text, mark.size_pt, mark.bold), pt_to_mm(mark.size_pt)
    left = mark.x_mm - width * {Align.LEFT: 0.0, Align.CENTRE: 0.5, Align.RIGHT: 1.0}[mark.align]
    return left, mark.y_mm - 0.92 * em, left + width, mark.y_mm + 0.28 * em


WORDS = st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=60) | st.text(
    "abcdeé ÅΩЖאعの漢-", max_size=120
)


@settings(max_examples=examples(80), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(template=st.sampled_from(ALL), texts=st.fixed_dictionaries(dict.fromkeys(CONTENT_KEYS, WORDS)), data=st.data())
def test_nothing_overlaps_or_leaves_its_label(
    template: LabelTemplate, texts: dict[str, str], data: st.DataObject
) -> None:
    start = data.draw(st.integers(1, template.columns * template.rows))
    texts["number"] = data.draw(st.from_regex("[ABS][1-9][0-9]{0,6}-[0-9]{2}", fullmatch=True))
    texts["box"] = texts["number"][1:-3]
    (page,) = labels.lay_out(template, [texts], start=start, measure=fonts.measure)
    slot = next(slots(template, start))
    marks = [mark for mark in page.marks if isinstance(mark, Text | Symbol)]
    boxes = [rectangle(mark) for mark in marks]
    assert texts["number"] in {mark.text for mark in marks if isinstance(mark, Text)}, "whole, whatever its length"
    for left, top, right, bottom in boxes:
        assert slot.x_mm - 1e-6 <= left
        assert slot.y_mm - 1e-6 <= top
        assert right <= slot.x_mm + template.label_width_mm + 1e-6
        assert bottom <= min(slot.y_mm + template.label_height_mm, page.height_mm) + 1e-6
    for a, b in combinations(boxes, 2):
        assert min(a[2], b[2]) - max(a[0], b[0]) < 1e-6 or min(a[3], b[3]) - max(a[1], b[1]) < 0.02


def test_a_partly_used_sheet_is_started_at_its_first_free_label() -> None:
    template = templates.read("a4-3x8", LabelUse.SHELF)
    pages = labels.lay_out(template, [content(template, n) for n in range(3)], start=23, measure=fonts.measure)
    assert len(pages) == 2
    symbols = [mark for page in pages for mark in page.marks if isinstance(mark, Symbol)]
    first, last, next_sheet = symbols
    assert last.x_mm - first.x_mm == pytest.approx(70)
    assert next_sheet.y_mm < 37


@pytest.mark.parametrize("start", [0, 25, -1])
def test_a_start_off_the_sheet_is_refused(start: int) -> None:
    template = templates.read("a4-3x8", LabelUse.SHELF)
    with pytest.raises(UsageError):
        labels.lay_out(template, [], start=start, measure=fonts.measure)


def test_no_content_makes_no_page() -> None:
    assert labels.lay_out(templates.read("a4-3x8", LabelUse.SHELF), [], measure=fonts.measure) == []


@every_template
def test_a_flag_says_that_it_is_laid_in(template: LabelTemplate) -> None:
    pages = labels.lay_out(template, [content(template, 7)], measure=fonts.measure)
    said = disclaimers.INSERT in {mark.text for mark in pages[0].marks if isinstance(mark, Text)}
    assert said == (template.use is LabelUse.FLAG)


@pytest.mark.parametrize("grams", [29_000.0, 290_000.0, None])
def test_what_a_box_asks_for_and_that_its_mass_is_estimated_is_never_cut(grams: float | None) -> None:
    lift = BoxLift(grams, weighed=False)
    caution, mass = caution_words(lift), short_mass_words(lift)
    assert caution
    for template in (t for t in ALL if t.use is LabelUse.BOX):
        texts = {**content(template, 7), "count": "124 copies", "caution": caution, "mass": mass}
        (page,) = labels.lay_out(template, [texts], measure=fonts.measure)
        words = " ".join(mark.text for mark in page.marks if isinstance(mark, Text))
        assert caution in words
        assert mass in words
        assert "…" not in words


def test_an_endless_roll_is_cut_where_the_contents_end() -> None:
    shelf = templates.read("roll-62", LabelUse.SHELF)
    assert shelf.continuous
    (page,) = labels.lay_out(shelf, [content(shelf, 7)], measure=fonts.measure)
    assert 25 < page.height_mm < 40 < shelf.paper_height_mm


def texts_of(page: Page) -> list[str]:
    return [mark.text for mark in page.marks if isinstance(mark, Text)]


def test_shelf_labels_lose_their_first_words_and_never_read_the_same() -> None:
    template = templates.read("roll-57x32", LabelUse.SHELF)
    rooms = ("Tower stairs to the upper roof room", "Cellar stairs to the upper roof room")
    contents = [
        {**content(template, 7 + n), "room": room, "place": f"Case by the north window · {n % 3}"}
        for n, room in enumerate((rooms[0], rooms[0], rooms[0], rooms[1]))
    ]
    lines = [" ".join(t for t in texts_of(page) if "·" in t or "…" in t)
             for page in labels.lay_out(template, contents, measure=fonts.measure)]  # fmt: skip
    assert len(set(lines)) == len(lines)
    assert lines[1] == "… by the north window · 1"
    assert lines[0].startswith("Tower")
    assert lines[0].endswith("… 0")
    assert lines[3].startswith("Cellar")


def test_labels_that_cannot_be_told_apart_are_refused_with_both_names() -> None:
    field = LabelField(text="{place}", x_mm=0, y_mm=0, width_mm=2.0, height_mm=3.0, size_pt=(7.0, 7.0))
    texts = ("aaaaaaaaaaaaaaaab", "aaaaaaaaaaaaaaaac", "aaaaaaaaaaaaaaaa")
    with pytest.raises(UsageError) as caught:
        distinct_texts.fit_distinct([text + " x" * 40 for text in texts], field, Setter(fonts.measure))
    assert texts[0] in caught.value.thing


def test_a_number_that_has_no_room_is_refused_rather_than_cut() -> None:
    field = LabelField(text="{number}", x_mm=0, y_mm=0, width_mm=6.0, height_mm=3.0, size_pt=(7.0, 7.0))
    template = replace(templates.read("a4-3x8", LabelUse.SHELF), fields=(field,))
    with pytest.raises(UsageError):
        labels.lay_out(template, [{"number": "S1048576-43"}], measure=fonts.measure)


@pytest.mark.parametrize("template", WITH_SYMBOL, ids=lambda t: f"{t.name}-{t.use}")
def test_its_number_stands_below_every_symbol(template: LabelTemplate) -> None:
    texts = content(template, 7)
    (page,) = labels.lay_out(template, [texts], measure=fonts.measure)
    numbers = [rectangle(mark) for mark in page.marks if isinstance(mark, Text) and mark.text == texts["number"]]
    for symbol in (mark for mark in page.marks if isinstance(mark, Symbol)):
        quiet_mm = 4 * symbol.module_mm if len(symbol.rows) > 1 else 0.0
        foot = symbol.y_mm + symbol.height_mm
        assert any(
            foot + quiet_mm - 1e-6 <= top < foot + quiet_mm + 3.5
            and left < symbol.x_mm + symbol.width_mm
            and right > symbol.x_mm
            for left, top, right, _ in numbers
        ), template.name


@pytest.mark.parametrize("template", [t for t in ALL if t.use is LabelUse.BOX], ids=lambda t: t.name)
def test_the_figures_of_a_box_are_10_mm_high_as_printed(render: Render, template: LabelTemplate) -> None:
    """Measured in the ink of the number, by its first line across the label: 10 mm for 2 m, a two-hundredth of it."""
    dpi = 200
    texts = {**content(template, 7), "number": "B127-43", "box": "127", "room": "Study"}
    (page,) = labels.lay_out(template, [texts], measure=fonts.measure)
    largest = max((mark for mark in page.marks if isinstance(mark, Text) and mark.text in ("B127-43", "127")),
                  key=lambda mark: mark.size_pt)  # fmt: skip
    (grey,) = render([replace(page, marks=(largest,))], dpi)
    rows = np.flatnonzero((grey < 128).any(axis=1))
    high_mm = (rows[-1] + 1 - rows[0]) / mm_to_px(1.0, dpi)
    assert high_mm >= VIEWED_FIGURE_MM - 0.15
    said = labels.figure_mm(template, texts, "number", measure=fonts.measure)
    assert said == pytest.approx(high_mm, abs=0.6)
    room = labels.figure_mm(template, texts, "room", measure=fonts.measure)
    assert (room is not None and room >= VIEWED_FIGURE_MM) == (template.name not in ("a4-3x8", "letter-2x5"))
