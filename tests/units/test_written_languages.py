"""Languages as people write them, against ICU and the lists of the Debian package iso-codes."""

import json
from pathlib import Path

import icu  # type: ignore[import-untyped]  # PyICU ships no types
import pytest

from intake.units.written_days import LANGUAGES
from intake.units.written_languages import BIBLIOGRAPHIC, bibliographic, language_read

ISO_CODES = Path("/usr/share/iso-codes/json/iso_639-2.json")
EUROPEAN = (
    *LANGUAGES,
    "no",
    "el",
    "ru",
    "uk",
    "et",
    "is",
    "ro",
    "sk",
    "sl",
    "hr",
    "sr",
    "lt",
    "lv",
    "bg",
    "ga",
    "tr",
    "la",
)


@pytest.mark.parametrize("spoken", LANGUAGES)
def test_names_in_the_usual_european_languages_are_the_codes_of_icu(spoken: str) -> None:
    for code in EUROPEAN:
        language = icu.Locale(code)
        name = language.getDisplayLanguage(icu.Locale(spoken))
        assert language_read(name) == language_read(name.upper()) == bibliographic(language.getISO3Language())


@pytest.mark.parametrize("code", EUROPEAN[:-1])
def test_a_language_s_own_name_is_known(code: str) -> None:
    language = icu.Locale(code)
    assert language_read(language.getDisplayLanguage(language)) == bibliographic(language.getISO3Language())


@pytest.mark.skipif(not ISO_CODES.exists(), reason="the package iso-codes is not installed")
def test_codes_are_those_of_iso_639_2() -> None:
    listed = json.loads(ISO_CODES.read_text())["639-2"]
    both = {entry["alpha_3"]: entry["bibliographic"] for entry in listed if "bibliographic" in entry}
    assert both == BIBLIOGRAPHIC
    for entry in (entry for entry in listed if entry.get("alpha_2") in EUROPEAN):
        assert bibliographic(entry["alpha_3"]) == both.get(entry["alpha_3"], entry["alpha_3"])


@pytest.mark.parametrize("text", ["Elvish", "SE", "ch", "Deutsch / Elvish", "mittel", "?", "qqx", "ang."])
def test_what_may_be_another_or_none_is_left(text: str) -> None:
    assert language_read(text) is None
