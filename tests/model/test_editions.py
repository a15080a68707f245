"""Titles folded to what another spelling leaves of them; letters by the combining classes of the Unicode Standard."""

import pytest

from intake.model.editions import title_key


@pytest.mark.parametrize(
    ("title", "key"),
    [
        ("Die Gräser der Küste: ein Führer", "die graser der kuste"),
        ("Gulls (second edition)", "gulls"),
        ("Gulls [large print]", "gulls"),
        ("Kelp, a forest & forty plates!", "kelp a forest forty plates"),
        ("  Two   spaces ", "two spaces"),
        ("STRASSE", "strasse"),
        ("Straße", "strasse"),
        ("Ψάρια του Αιγαίου", "ψαρια του αιγαιου"),
        ("ガラス", "ガラス"),  # the voicing marks make another letter: they stay
        ("カラス", "カラス"),
        ("Vol. 12½", "vol 121 2"),  # a half is decomposed into figures
        (": all subtitle", ""),
        ("", ""),
    ],
)
def test_what_is_left_of_a_title(title: str, key: str) -> None:
    assert title_key(title) == key
