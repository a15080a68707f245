"""The fields of MARC 21 as a library fills them (MARC 21 Format for Bibliographic Data), and what is left out of them.

The names and meanings of the fields were seen in an adapted copy of the Library of Congress's list; subfields are from
memory unless said otherwise. All books are invented, but for the name in appendix A's example of linked scripts.
"""

import pytest

from intake.edges.exchange.marc_editions import edition_cells
from intake.edges.exchange.marc_fields import MarcField, MarcRecord
from intake.edges.exchange.marc_text import extent_in, size_text, sizes_in, trimmed, year_in
from intake.edges.exchange.record_remarks import RecordError, RecordProblem, RemarkKind, Remarks
from tests.edges.exchange.marc_data import LEADER, field, places, record

TITLE = field("245", "00", "aSalt")


def cells(*fields: MarcField, leader: str = LEADER, remarks: Remarks | None = None) -> dict[str, str]:
    return edition_cells(record(*fields, leader=leader), remarks or Remarks())


def test_a_library_s_record_fills_the_cells_and_the_rest_is_named() -> None:
    remarks = Remarks()
    whole = (
        MarcField("001", data="  77001"),
        MarcField("003", data="XX-Tst"),
        MarcField("008", data="980401s1998    xx a     b    001 0 eng d"),
        field("020", "  ", "a9780306406157 (hbk.) :", "c£40.00"),
        field("082", "04", "a598.4/77", "222"),
        field("100", "1 ", "aWickenlow, Ansgar,", "d1950-", "eauthor."),
        field("245", "10", "aSeabirds :", "ba guide to the coasts /", "cAnsgar Wickenlow and Petra Oulde."),
        field("250", "  ", "a2nd ed., rev."),
        field("260", "  ", "aTarnhollow :", "bLarkmoss Press,", "cc1998."),
        field("300", "  ", "axii, 345 p. :", "bcol. ill. ;", "c30 cm."),
        field("505", "0 ", "av. 1. Divers -- v. 2. Gulls"),
        field("650", " 0", "aSea birds."),
        field("700", "1 ", "aOulde, Petra."),
        field("852", "  ", "aXX-Tst", "hQL 12"),
    )
    assert cells(*whole, remarks=remarks) == {
        "key": "(XX-Tst)77001",
        "number": "9780306406157",
        "binding": "hbk",
        "call_number": "598.477",
        "contributors": "Wickenlow, Ansgar; Oulde, Petra",
        "title": "Seabirds: a guide to the coasts",
        "edition": "2nd ed., rev.",
        "publisher": "Larkmoss Press",
        "year": "1998",
        "language": "eng",
        "pages": "357",
        "height_mm": "300",
    }
    left = {"020 $c", "100 $d", "100 $e", "245 $c", "260 $a", "300 $b", "505", "650"}
    assert places(remarks, RemarkKind.LEFT_OUT) == left
    assert places(remarks, RemarkKind.COPIES) == {"852"}
    assert places(remarks, RemarkKind.CONVERTED) == {"260 $c", "300 $a", "300 $c"}
    assert places(remarks, RemarkKind.TECHNICAL) == {"003", "082 $2"}


@pytest.mark.parametrize(
    ("fields", "number"),
    [
        ((field("020", "  ", "a0306406152 (pbk. : v. 1)"),), "0306406152"),  # before 2013 the qualifier stood in $a
        ((field("020", "  ", "z9783161484100"),), ""),  # cancelled: never matches
        ((field("020", "  ", "a0306406152"), field("020", "  ", "a9780306406157")), "9780306406157"),  # one book
        ((field("020", "  ", "a9783161484100 (set)"), field("020", "  ", "a9780306406157 (v. 1)")), "9780306406157"),
        ((field("020", "  ", "a9783161484100", "qebook"), field("020", "  ", "a9780306406157")), "9780306406157"),
        ((field("020", "  ", "a978-0-306-40615-7"),), "978-0-306-40615-7"),
        ((field("020", "  ", "a978 0 306 40615 7 (hbk)"),), "978 0 306 40615 7"),
        ((field("022", "  ", "a1234-5679"),), "ISSN 1234-5679"),
        ((field("024", "2 ", "a9790260000438"),), "9790260000438"),  # ISMN
        ((field("024", "7 ", "a10.1000/182", "2doi"),), ""),  # not the number of an article
    ],
)
def test_the_number_is_that_of_the_book_itself(fields: tuple[MarcField, ...], number: str) -> None:
    assert cells(TITLE, *fields).get("number", "") == number


def test_numbers_that_are_not_taken_are_named() -> None:
    remarks = Remarks()
    isbns = (field("020", "  ", "a9780306406157"), field("020", "  ", "a9783161484100"), field("020", "  ", "z1"))
    cells(TITLE, *isbns, field("024", "7 ", "a10.1000/182"), field("022", "  ", "a1234-5679"), remarks=remarks)
    assert places(remarks, RemarkKind.LEFT_OUT) == {"020 besides", "020 $z", "024", "022 besides"}


def test_an_add_on_stands_beside_the_article_number() -> None:
    serial = cells(TITLE, field("022", "  ", "a1234-5679"), field("024", "3 ", "a9771234567898", "d05"))
    assert (serial["number"], serial["add_on"]) == ("9771234567898", "05")


def test_a_romanised_title_gives_way_to_the_script_of_the_book() -> None:
    """The name is that of the example in MARC 21, appendix A, linked fields (seen)."""
    remarks = Remarks()
    found = cells(
        field("100", "1 ", "6880-01", "aZemtsovskii, I. I.", "d1936-"),
        field("245", "10", "6880-02", "aTrava i sol' /"),
        field("264", " 1", "6880-03", "aNigde :", "bSever,", "c1998."),
        field("880", "1 ", "6100-01/(N", "aЗемцовский, И. И."),
        field("880", "10", "6245-02/(N", "aТрава и соль /"),
        field("880", " 1", "6264-03/(N", "bСевер,"),
        field("880", "  ", "6500-00/(N", "aПримечание"),
        remarks=remarks,
    )
    assert (found["title"], found["contributors"]) == ("Трава и соль", "Земцовский, И. И.")
    assert (found["publisher"], found["year"]) == ("Север", "1998")  # what 880 does not repeat stays
    assert places(remarks, RemarkKind.CONVERTED) == {"100 to 880", "245 to 880", "264 to 880"}
    assert "880" in places(remarks, RemarkKind.LEFT_OUT)


@pytest.mark.parametrize(
    ("own", "title", "left_out"),
    [
        (("aПтицы северных болот : атлас /",), "Птицы северных болот : атлас", {"245 $b beside 880"}),
        (("aПтицы северных болот :", "bатлас /"), "Птицы северных болот: атлас", set()),
        (("bатлас /",), "Ptitsy severnykh bolot: atlas", {"880"}),
    ],
)
def test_no_title_is_half_romanised(own: tuple[str, ...], title: str, left_out: set[str]) -> None:
    """Field 880 is the whole of its partner in another script (MARC 21, appendix A); what it lacks is not added."""
    remarks = Remarks()
    found = cells(
        field("245", "10", "6880-01", "aPtitsy severnykh bolot :", "batlas /"),
        field("880", "10", "6245-01/(N", *own),
        remarks=remarks,
    )
    assert found["title"] == title
    assert places(remarks, RemarkKind.LEFT_OUT) == left_out


def test_of_a_size_only_what_is_not_read_is_left_out() -> None:
    remarks = Remarks()
    assert cells(TITLE, field("300", "  ", "c25 cm + 1 map"), remarks=remarks)["height_mm"] == "250"
    left_out = [remark for remark in remarks if remark.kind is RemarkKind.LEFT_OUT]
    assert [(remark.where, remark.example) for remark in left_out] == [("300 $c besides", "1 map")]


def test_a_field_in_another_script_without_partner_stands_for_itself() -> None:
    assert cells(field("880", "10", "6245-00/$1", "a鳥の海"))["title"] == "鳥の海"


@pytest.mark.parametrize(
    ("fields", "level", "expected"),
    [
        ((field("245", "00", "aSeabirds.", "nVol. 2,", "pGulls /"),), " ", ("Gulls", "Seabirds", "Vol. 2")),
        (
            (field("245", "00", "aSeabirds.", "nVol. 2,", "pGulls :", "bwith maps"),),
            " ",
            ("Gulls: with maps", "Seabirds", "Vol. 2"),
        ),
        (
            (field("245", "00", "aSeabirds :", "ba guide.", "nVol. 2,", "pGulls"),),
            " ",
            ("Gulls", "Seabirds: a guide", "Vol. 2"),
        ),
        ((field("245", "00", "aSeabirds.", "nVol. 2"),), "c", ("Seabirds", "Seabirds", "Vol. 2")),
        ((field("245", "00", "aSeabirds.", "nVol. 2"),), " ", ("Seabirds", "", "Vol. 2")),
        ((TITLE, field("490", "1 ", "aSeabirds ;", "vv. 3")), " ", ("Salt", "Seabirds", "v. 3")),
        ((TITLE, field("490", "0 ", "aPocket books")), " ", ("Salt", "", "")),  # a publisher's series is not a set
        ((TITLE, field("490", "0 ", "aSeabirds")), "b", ("Salt", "Seabirds", "")),
    ],
)
def test_set_and_volume(fields: tuple[MarcField, ...], level: str, expected: tuple[str, str, str]) -> None:
    found = cells(*fields, leader=LEADER[:19] + level + LEADER[20:])
    assert tuple(found.get(name, "") for name in ("title", "set", "volume")) == expected


def test_languages_that_are_run_together_are_cut_in_threes() -> None:
    assert cells(TITLE, field("041", "1 ", "aengfre", "hger"))["language"] == "eng; fre"
    assert cells(TITLE, field("041", "07", "ade", "2iso639-1"))["language"] == "de"


def test_the_publication_field_is_that_of_publication() -> None:
    made, published = field("264", " 3", "aDE", "bPrinter"), field("264", " 1", "aX :", "bLarkmoss Press,", "c[1998]")
    copyright_date = field("264", " 4", "c©1997")
    found = cells(TITLE, made, copyright_date, published)
    assert (found["publisher"], found["year"], found["printed_in"]) == ("Larkmoss Press", "1998", "DE")


@pytest.mark.parametrize(
    ("leader", "problem"),
    [
        ("00000dam a2200000 a 4500", RecordProblem.DELETED),
        ("00000nz  a2200000n  4500", RecordProblem.NOT_BIBLIOGRAPHIC),
    ],
)
def test_a_record_of_no_edition_is_refused(leader: str, problem: RecordProblem) -> None:
    with pytest.raises(RecordError) as caught:
        edition_cells(MarcRecord(leader, [TITLE]), Remarks())
    assert caught.value.problem is problem


@pytest.mark.parametrize(
    ("text", "pages", "is_sum", "rest"),
    [
        ("352 pages", "352", False, ""),
        ("352 S.", "352", False, ""),
        ("xii, 345 p.", "357", True, ""),
        ("[8], xiv, 210 p., [16] p. of plates", "232", True, "[16] p. of plates"),
        ("3 v. (1250 p.)", "", False, "3 v. (1250 p.)"),  # of a set, not of a volume
        ("1 volume (unpaged)", "", False, "1 volume (unpaged)"),
        ("", "", False, ""),
    ],
)
def test_extents(text: str, pages: str, is_sum: bool, rest: str) -> None:
    extent = extent_in(text)
    assert (extent.pages, extent.is_sum, extent.rest) == (pages, is_sum, rest)


@pytest.mark.parametrize(
    ("text", "cells_", "is_rounded", "rest"),
    [
        ("28 cm", {"height_mm": "280"}, True, ""),
        ("20 x 28 cm.", {"height_mm": "200", "width_mm": "280"}, True, ""),
        ("28,5 cm", {"height_mm": "285"}, False, ""),
        ("11 in.", {"height_mm": "279.4"}, False, ""),
        ("296 × 235 × 27 mm, 1.91 kg", {"height_mm": "296", "width_mm": "235", "thickness_mm": "27", "mass_g": "1910"},
         False, ""),
        ("30-35 cm", {}, False, "30-35 cm"),
        ("28 cm + 1 atlas", {"height_mm": "280"}, True, "1 atlas"),
    ],
)  # fmt: skip
def test_sizes(text: str, cells_: dict[str, str], is_rounded: bool, rest: str) -> None:
    sizes = sizes_in(text)
    assert (sizes.cells, sizes.is_rounded, sizes.rest) == (cells_, is_rounded, rest)


def test_sizes_that_are_known_in_part_keep_their_names() -> None:
    text = size_text(None, 235.0, 27.5, None)
    assert sizes_in(text).cells == {"width_mm": "235", "thickness_mm": "27.5"}


@pytest.mark.parametrize(
    ("text", "bare"),
    [("Salt /", "Salt"), ("Salt :", "Salt"), ("Larkmoss Press,", "Larkmoss Press"), ("Salt.", "Salt"),
     ("Larkmoss Co.", "Larkmoss Co."), ("Marrow, C.", "Marrow, C."), ("Salt ...", "Salt ..."),
     ("Annals of Fog.", "Annals of Fog"), ("Fens and how to see them.", "Fens and how to see them"),
     ("Series B.", "Series B."), ("2. Aufl.", "2. Aufl."), ("2nd ed.", "2nd ed."), ("Rev. and enl.", "Rev. and enl."),
     ("Dunes in the U.S.", "Dunes in the U.S."), ("Bd.", "Bd."), ("Halm & Cie.", "Halm & Cie."), ("3., überarb. Aufl.",
     "3., überarb. Aufl."), ("Tides of 1998.", "Tides of 1998"), ("Who knows?.", "Who knows?.")],
)  # fmt: skip
def test_punctuation_of_isbd_is_taken_off_and_that_of_the_text_is_not(text: str, bare: str) -> None:
    assert trimmed(text, has_punctuation=True) == bare
    assert trimmed(text, has_punctuation=False) == text


@pytest.mark.parametrize(
    ("text", "year"),
    [
        ("c1987", "1987"),
        ("[1987?]", "1987"),
        ("1987, ©1986", "1987"),
        ("1990-", "1990"),
        ("[n.d.]", ""),
        ("1998", "1998"),
    ],
)
def test_years(text: str, year: str) -> None:
    assert year_in(text)[0] == year
