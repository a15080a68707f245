"""Words folded: against ICU's own transforms and collation, and against pairs of words that are different words."""

import icu  # type: ignore[import-untyped]  # PyICU ships no types
import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.model.editions import title_key
from intake.model.folding import fold, pairs, search_words, transliterations, word_forms


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("दिन", "दीन"),  # Hindi: day, poor
        ("बल", "बाल"),  # strength, hair
        ("पल", "पुल"),  # moment, bridge
        ("কলা", "কালা"),  # Bengali
        ("கல்", "கால்"),  # Tamil: stone, leg
        ("ขาว", "ข้าว"),  # Thai: white, rice
        ("ปา", "ปี"),
        ("កា", "កី"),  # Khmer
        ("ကာ", "ကီ"),  # Burmese
        ("ගල", "ගාල"),  # Sinhala
    ],
)
def test_words_that_vowel_signs_tell_apart_stay_apart(one: str, other: str) -> None:
    """ICU's collation (Unicode Technical Standard 10) holds them for different up to its third level."""
    collator = icu.Collator.createInstance(icu.Locale.getRoot())
    assert collator.compare(one, other) != 0
    assert title_key(one) != title_key(other)
    assert " " not in title_key(one)


LATIN = "".join(chr(code) for code in (*range(0xC0, 0x180), *range(0x1E00, 0x1F00)) if chr(code).isalpha())


@given(st.text(LATIN, min_size=1, max_size=12))
def test_latin_letters_are_what_icu_makes_of_them(word: str) -> None:
    """ICU's transform Latin-ASCII; the digraphs of umlauts come beside it, never in its place."""
    expected = icu.Transliterator.createInstance("NFKC; Lower; Latin-ASCII; Lower").transliterate(word)
    folded = [form.replace(" ", "") for form in search_words([word]).split()]
    if expected.isascii() and expected.isalnum():
        assert expected in folded


@given(st.text("абвгдежзийклмнопрстуфхцчшщъыьэюяαβγδεζηθικλμνξοπρστυφχψωάέήίόύώ", min_size=1, max_size=12))
def test_transliterations_are_icus(word: str) -> None:
    expected = icu.Transliterator.createInstance("Any-Latin; Latin-ASCII; Lower").transliterate(word)
    bare = expected.replace("'", "").replace('"', "").replace("`", "")
    if bare.isascii() and bare.isalnum():
        assert bare in word_forms(word)[0]


@pytest.mark.parametrize(
    ("title", "typed"),
    [
        ("Łódź", "Lodz"),
        ("Straße", "strasse"),
        ("Æther", "aether"),
        ("Gräser", "graser"),
        ("Gräser", "graeser"),
        ("Graeser", "Gräser"),
        ("Νησιά", "νησια"),
        ("Νησιά", "nisia"),
        ("Война", "voyna"),
        ("Война", "vojna"),
        ("Щука", "shchuka"),
        ("हिन्दी", "hindi"),
        ("さくら", "sakura"),
        ("ｶﾞﾗｽ", "ガラス"),
        ("שָׁלוֹם", "שלום"),
        ("ﬁnch", "finch"),
        ("Ørsted", "oersted"),
    ],
)
def test_what_is_typed_finds_what_is_printed(title: str, typed: str) -> None:
    printed = search_words([title]).split()
    assert any(form in printed for form in word_forms(typed)[0])


@given(st.text(max_size=30))
def test_any_text_folds_to_words_and_again_to_itself(text: str) -> None:
    folded = fold(text)
    assert fold(folded) == folded
    assert all(word and word == word.strip() for word in search_words([text]).split())


def test_unspaced_writing_is_found_by_pairs() -> None:
    assert pairs("植物図鑑") == ("植物", "物図", "図鑑")
    assert pairs("ガ") == pairs("moss") == ()
    assert transliterations("ភាសា") == (), "ICU has no scheme for Khmer"
