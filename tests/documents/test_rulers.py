"""A serial's ruler: everything lies on the page, bars are as long as their parts, and every edition and gap is told."""

import itertools
from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from intake.documents.rulers import LEFT_OUT, MARGIN_MM, NAME_MM, SMALL_PT, lay_out, lay_out_whole
from intake.model.pages import Page, Rectangle, RuledLine, Text
from intake.model.papers import A4_MM
from intake.model.rulers import BarFill, DrawnSerial, RulerBar, RulerLine, RulerTick


def measure(text: str, size_pt: float, _bold: bool) -> float:
    return len(text) * size_pt * 0.18


def serial(size: int, bars: list[tuple[int, int, BarFill]]) -> DrawnSerial:
    drawn = tuple(
        RulerBar(f"Volume {nth}", f"{first}-{last}", fill, ((first, last),))
        for nth, (first, last, fill) in enumerate(bars)
    )
    line = RulerLine("", size, (RulerTick(0, "1"),), (((0, size - 1), "all"),), drawn)
    return DrawnSerial("Tidewrack Quarterly", f"0 of {size} parts held; missing: all.", (line,))


def texts(pages: list[Page]) -> list[str]:
    return [mark.text for page in pages for mark in page.marks if isinstance(mark, Text)]


BARS = st.lists(
    st.tuples(st.integers(0, 99), st.integers(0, 99), st.sampled_from(BarFill)).map(
        lambda one: (min(one[:2]), max(one[:2]), one[2])
    ),
    max_size=60,
)


@given(BARS)
def test_every_edition_is_drawn_on_the_page(bars: list[tuple[int, int, BarFill]]) -> None:
    pages = lay_out(serial(100, bars), measure=measure)
    assert {f"Volume {nth}" for nth in range(len(bars))} <= set(texts(pages))
    assert {f"{first}-{last}" for first, last, _ in bars} <= set(texts(pages))
    for page in pages:
        for mark in page.marks:
            if isinstance(mark, Rectangle):
                assert mark.x_mm >= MARGIN_MM
                assert mark.x_mm + mark.width_mm <= A4_MM[0] - MARGIN_MM + 1e-6
                assert mark.y_mm + mark.height_mm <= A4_MM[1] - MARGIN_MM + 1e-6
            elif isinstance(mark, Text):
                assert mark.y_mm <= A4_MM[1] - MARGIN_MM + 1e-6


def test_every_remark_stands_on_a_page_whatever_their_number() -> None:
    remarks = tuple(f"Volume {nth} names what the extent does not have" for nth in range(100))
    pages = lay_out(replace(serial(9, [(0, 8, BarFill.FILLED)]), remarks=remarks), measure=measure)
    assert len(pages) > 1
    assert set(remarks) <= set(texts(pages))
    ends = [mark.y_mm for page in pages for mark in page.marks if isinstance(mark, Text)]
    assert max(ends) <= A4_MM[1] - MARGIN_MM + 1e-6


def test_a_bar_is_as_long_as_its_parts_and_filled_as_it_is_held() -> None:
    bars = [(0, 24, BarFill.FILLED), (50, 99, BarFill.OUTLINED), (0, 99, BarFill.HATCHED)]
    page = lay_out_whole(serial(100, bars), measure=measure, width_mm=2 * MARGIN_MM + NAME_MM + 100)
    left = MARGIN_MM + NAME_MM
    drawn = [mark for mark in page.marks if isinstance(mark, Rectangle)]
    found = [(round(bar.x_mm - left, 6), round(bar.width_mm, 6), bar.grey == 1.0) for bar in drawn[2:5]]
    assert found == [(0, 25, False), (50, 50, True), (0, 100, True)]  # after the ruler and its one gap
    hatched = drawn[4]
    strokes = [
        mark for mark in page.marks
        if isinstance(mark, RuledLine) and mark.x1_mm != mark.x2_mm and mark.y1_mm <= hatched.y_mm + hatched.height_mm
    ]  # fmt: skip
    assert strokes
    for stroke in strokes:
        assert abs((stroke.x2_mm - stroke.x1_mm) - (stroke.y1_mm - stroke.y2_mm)) < 1e-9  # at 45 degrees
        assert hatched.x_mm - 1e-9 <= stroke.x1_mm <= stroke.x2_mm <= hatched.x_mm + hatched.width_mm + 1e-9
        assert hatched.y_mm - 1e-9 <= stroke.y2_mm <= stroke.y1_mm <= hatched.y_mm + hatched.height_mm + 1e-9
    assert page.height_mm < 100


def test_a_serial_of_ten_thousand_parts_shows_each_of_its_volumes() -> None:
    page = lay_out_whole(serial(10_000, [(5000, 5000, BarFill.FILLED)]), measure=measure, width_mm=190)
    bar = [mark for mark in page.marks if isinstance(mark, Rectangle)][2]
    assert bar.width_mm >= 0.5


GAPS = st.lists(st.integers(0, 9_999), unique=True, max_size=80).map(sorted)


@given(GAPS, st.sampled_from([100.0, 190.0, 210.0]), st.sampled_from(["{}", "v.112:no.{}-v.112:no.{}"]))
def test_labels_of_gaps_stay_on_the_ruler_and_apart_and_what_is_left_out_is_told(
    gaps: list[int], width_mm: float, words: str
) -> None:
    labels = tuple(((place, place), words.format(place, place)) for place in gaps)
    line = RulerLine("", 10_000, (), labels, (RulerBar("Volume", "all", BarFill.FILLED, ((0, 9_999),)),))
    page = lay_out_whole(DrawnSerial("Tidewrack", "", (line,)), measure=measure, width_mm=width_mm)
    named = {text for _, text in labels}
    drawn = [mark for mark in page.marks if isinstance(mark, Text) and mark.text in named]
    assert len(drawn) == len(gaps) or " ".join(texts([page])).endswith(LEFT_OUT)
    if gaps and words == "{}":
        assert {str(gaps[0]), str(gaps[-1])} <= {mark.text for mark in drawn}
    rows: dict[float, list[tuple[float, float]]] = {}
    for mark in drawn:
        half = measure(mark.text, SMALL_PT, False) / 2
        assert mark.x_mm - half >= MARGIN_MM + NAME_MM - 1e-6
        assert mark.x_mm + half <= width_mm - MARGIN_MM + 1e-6
        rows.setdefault(round(mark.y_mm, 3), []).append((mark.x_mm - half, mark.x_mm + half))
    for ends in rows.values():
        ordered = sorted(ends)
        assert all(one[1] < other[0] for one, other in itertools.pairwise(ordered))


def test_the_long_name_of_a_bar_is_cut_before_how_it_ends() -> None:
    name = f"{'The Tidewrack Quarterly, gathered and annotated ' * 3}, vol. 12"
    bars = (
        RulerBar(name, "1-5", BarFill.FILLED, ((0, 4),), "vol. 12"),
        RulerBar("Tidewrack Gathered for Reading, vol. 3", "6-9", BarFill.FILLED, ((5, 8),), "vol. 3"),
    )
    drawn = DrawnSerial("Tidewrack", "9 of 9 parts held.", (RulerLine("", 9, (), (), bars),))
    (page,) = lay_out(drawn, measure=measure)
    names = [mark for mark in page.marks if isinstance(mark, Text) and "vol. " in mark.text]
    assert names[0].text.startswith("The Tidewrack Quarterly")
    assert names[0].text.endswith("… vol. 12")
    assert names[1].text == bars[1].name
    for mark in names:
        assert measure(mark.text, mark.size_pt, mark.bold) <= NAME_MM - 2 + 1e-6
