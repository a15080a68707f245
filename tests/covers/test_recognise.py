"""Drawn covers and photographs of them: the right one is named, a stranger never is. Floors only rise.

The larger figures are those of `tests.benchmarks.cover_table`.
"""

import cv2
import numpy as np
import pytest

from intake.covers.coded_covers import CodedCovers, uncoded
from intake.covers.cover_features import CoverFeatures, describe
from intake.covers.recognise import ASK, SURE, UNLIKE, outline_of, recognise
from intake.covers.same_cover import NO_AGREEMENT, compare, pairs_of
from intake.covers.short_list import differing_bits
from intake.covers.visual_words import learn
from tests.covers.drawn_covers import HEIGHT, WIDTH, draw_cover, photograph

COVERS = 24


@pytest.fixture(scope="module")
def features() -> list[CoverFeatures]:
    return [describe(draw_cover(number)) for number in range(COVERS)]


@pytest.fixture(scope="module")
def coded(features: list[CoverFeatures]) -> CodedCovers:
    vocabulary = learn(np.concatenate([each.descriptions for each in features]))
    return uncoded(vocabulary, COVERS).with_more(each.descriptions for each in features)


def test_photographs_of_covers_name_the_right_one_and_strangers_none(
    features: list[CoverFeatures], coded: CodedCovers
) -> None:
    index = coded.index()
    right = 0
    for number in range(0, COVERS, 2):
        found = recognise(describe(photograph(draw_cover(number), number)), index, features.__getitem__)
        sure = [candidate.cover for candidate in found if candidate.inliers >= SURE]
        assert sure in ([], [number])
        right += sure == [number]
    for number in range(COVERS, COVERS + 8):
        found = recognise(describe(photograph(draw_cover(number), number)), index, features.__getitem__)
        assert [candidate for candidate in found if candidate.inliers >= SURE] == []
    assert right >= 8


def test_the_outline_is_where_the_cover_was_put(features: list[CoverFeatures]) -> None:
    """Compared with the perspective that the picture was made by (OpenCV's warpPerspective)."""
    cover = draw_cover(2)
    corners = np.array([(60, 30), (330, 60), (310, 470), (40, 440)], np.float32)
    whole = np.array([(0, 0), (WIDTH, 0), (WIDTH, HEIGHT), (0, HEIGHT)], np.float32)
    lens = cv2.getPerspectiveTransform(whole, corners)
    picture = np.asarray(cv2.warpPerspective(cover, lens, (400, 500), borderValue=90.0), np.uint8)
    agreement = compare(describe(picture), features[2])
    assert agreement.homography is not None
    outline = np.array(outline_of(agreement.homography, features[2].size))
    assert np.abs(outline - corners).max() < 2


def test_a_mirrored_cover_is_another(features: list[CoverFeatures]) -> None:
    mirrored = np.ascontiguousarray(draw_cover(2)[:, ::-1])
    assert compare(describe(mirrored), features[2]).inliers < 12


def test_one_line_of_type_in_common_proves_nothing() -> None:
    """Two blank covers with one long line of the same words: it agrees in more places than are wanted, along a line."""
    pages = [np.full((HEIGHT, WIDTH), shade, np.uint8) for shade in (230, 200)]
    for page, at in zip(pages, ((5, 90), (8, 300)), strict=True):
        cv2.putText(page, "Tradorminkathe Gangan Norwyn", at, cv2.FONT_HERSHEY_TRIPLEX, 0.6, 0, 2, cv2.LINE_AA)
    first, second = map(describe, pages)
    assert len(pairs_of(first, second)[0]) > SURE
    assert compare(first, second).inliers < ASK


@pytest.mark.parametrize("size", [(1, 1), (15, 400), (300, 300)])
def test_a_picture_of_nothing_shows_no_cover(
    features: list[CoverFeatures], coded: CodedCovers, size: tuple[int, int]
) -> None:
    nothing = describe(np.full(size, 128, np.uint8))
    assert len(nothing) == 0
    assert compare(nothing, features[0]) is NO_AGREEMENT
    assert recognise(nothing, coded.index(), features.__getitem__) == ()


def test_covers_taken_out_of_the_index_are_not_found_and_the_others_are(
    features: list[CoverFeatures], coded: CodedCovers
) -> None:
    """The index grown and cut equals the one made of what is left."""
    kept = [2, 3, 5, 8]
    cut = coded.only(kept)
    anew = uncoded(coded.vocabulary, COVERS).with_more(features[number].descriptions for number in kept)
    for grown, made in ((cut.words, anew.words), (cut.signatures, anew.signatures), (cut.lengths, anew.lengths)):
        assert np.array_equal(grown, made)
    best = cut.index().shortlist(features[5])
    assert best[0][0] == 2
    assert {cover for cover, _ in best} <= {0, 1, 2, 3}


def test_the_same_pictures_give_the_same_words(features: list[CoverFeatures]) -> None:
    descriptions = np.concatenate([each.descriptions for each in features[:6]])
    first, second = learn(descriptions), learn(descriptions)
    assert np.array_equal(first.centres, second.centres)
    assert np.array_equal(first.medians, second.medians)


def test_differing_bits_are_those_that_python_counts() -> None:
    rng = np.random.default_rng(3)
    left, right = rng.integers(0, 2**64, 50, np.uint64), rng.integers(0, 2**64, 1, np.uint64)[0]
    counted = [(int(one) ^ int(right)).bit_count() for one in left]
    assert differing_bits(left, right).tolist() == counted


def test_other_words_on_the_same_illustration_are_unlike_there(features: list[CoverFeatures]) -> None:
    """The upper half of both covers is print in the same type, of other words; the lower half is one illustration."""
    words = [
        ("A Guide to the", "Orchids and Vetches", "of the Lower Moss", "by Ilse Tarn", "with forty plates"),
        ("Songs of the Quay", "Sixteen Evenings", "beside the Kelp Fire", "told by Orm Wick", "in two languages"),
    ]
    for number in (2, 6):
        covers = []
        for lines in words:
            cover = draw_cover(number)
            cover[: HEIGHT // 2] = 200
            for nth, line in enumerate(lines):
                cv2.putText(cover, line, (8, 34 + 40 * nth), cv2.FONT_HERSHEY_TRIPLEX, 0.8, 20, 1, cv2.LINE_AA)
            covers.append(cover)
        known = describe(covers[0])
        same, other = (compare(describe(photograph(cover, 40)), known) for cover in covers)
        assert same.unlike <= UNLIKE < other.unlike
