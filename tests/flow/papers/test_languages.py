"""Papers in German: nothing of them is left in English but what is recorded, and figures are as the CLDR has them."""

import gettext
import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from decimal import Decimal
from string import Formatter
from typing import Any

import icu  # type: ignore[import-untyped]  # PyICU ships no types
import pypdfium2
import pytest
from babel.messages.catalog import Catalog

from intake.documents.line_breaks import SOFT_HYPHEN
from intake.edges import catalogues
from intake.edges.store.library import Library
from intake.flow.papers.option_fields import LANGUAGE
from intake.flow.papers.paper import Paper, PaperFormat
from intake.flow.papers.registry import PAPERS
from intake.flow.papers.render import render
from intake.model.currencies import amount_text
from intake.units.convert import kg_text
from intake.units.counts import counted
from intake.units.language import Language, speaking, spoken
from intake.units.local_forms import day_text, figures, order_of
from tests.flow.papers.test_registry import TODAY, moved, moved_made, options
from tests.languages.messages import FOLDER, TEMPLATE, messages, read_catalogue

__all__ = ["moved", "moved_made"]
IN_LANGUAGES = [paper for paper in PAPERS if LANGUAGE in paper.options]
GERMAN = FOLDER / "de.po"


class Unknown(gettext.NullTranslations):
    """What is asked of a catalogue that does not have it."""

    def __init__(self) -> None:
        super().__init__()
        self.asked: set[str] = set()

    def gettext(self, message: str) -> str:
        self.asked.add(message)
        return message

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        self.asked.add(msgid1)
        return msgid1 if n == 1 else msgid2

    def pgettext(self, context: str, message: str) -> str:
        self.asked.add(f"{context}: {message}")
        return message


@pytest.fixture
def unknown(monkeypatch: pytest.MonkeyPatch) -> Iterator[Unknown]:
    """German, with a memory of the messages that its catalogue does not have."""
    asked = Unknown()
    catalogues.find_language.cache_clear()
    german = catalogues.find_language("de")
    assert german is not None
    assert isinstance(german.catalogue, gettext.GNUTranslations)
    german.catalogue.add_fallback(asked)
    yield asked
    catalogues.find_language.cache_clear()


def forms(catalog: Catalog) -> dict[tuple[Any, str | None], tuple[str, ...]]:
    """Return the translations by message and context; one for each plural form."""
    found = {}
    for message in catalog:
        if message.id:
            said = message.string if isinstance(message.string, tuple) else (str(message.string),)
            found[tuple(message.id) if isinstance(message.id, list | tuple) else message.id, message.context] = said
    return found


def names(text: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(text) if name}


def test_the_template_has_the_messages_of_the_program() -> None:
    assert set(forms(read_catalogue(TEMPLATE))) == set(forms(messages())), "run python -m tests.languages.messages"


def test_every_message_has_a_german_translation_with_the_same_values() -> None:
    german, template = forms(read_catalogue(GERMAN)), forms(messages())
    assert set(german) == set(template)
    for (message, _), said in german.items():
        ids = message if isinstance(message, tuple) else (message,)
        assert len(said) == len(ids)
        assert all(said), message
        for english, translated in zip(ids, said, strict=True):
            assert names(translated) == names(english), message


@pytest.mark.parametrize("paper", IN_LANGUAGES, ids=lambda paper: paper.name)
def test_a_german_paper_has_no_message_left_in_english(moved: Library, unknown: Unknown, paper: Paper[Any]) -> None:
    chosen = replace(options(paper), language="de")
    words = ""
    for form in paper.formats:
        data = render(moved, paper, chosen, form, on=TODAY).data
        if form is PaperFormat.CSV:
            assert SOFT_HYPHEN not in data.decode()
        if form is PaperFormat.PDF:
            with pypdfium2.PdfDocument(data) as document:
                words = " ".join(str(page.get_textpage().get_text_range()) for page in document)
    assert unknown.asked == set()
    assert spoken() is None
    assert left_in_english(words) == []


def left_in_english(words: str) -> list[str]:
    """Return the rows of words of English messages that stand in a German text."""
    # One word may stand in a record; a row of words is the program's.
    rows = (
        part.strip(" .,:;()“”")
        for (message, _), (said, *_) in forms(read_catalogue(GERMAN)).items()
        for part, *_ in Formatter().parse(message if isinstance(message, str) else message[0])
        if len(part.split()) > 2 and part.strip(" .,:;()“”") not in said
    )
    words = " ".join(words.split())
    return [row for row in rows if re.search(rf"\b{re.escape(row)}\b", words)]


def test_days_and_figures_are_as_the_cldr_has_them_by_icu(unknown: Unknown) -> None:
    locale = icu.Locale("de")
    day, amount = date(2026, 5, 4), Decimal("1234567.80")
    shown = icu.DateFormat.createDateInstance(icu.DateFormat.MEDIUM, locale)
    number = icu.NumberFormat.createInstance(locale)
    number.setMinimumFractionDigits(2)
    with speaking(catalogues.find_language("de")):
        assert day_text(day) == shown.format(_icu_day(day))
        assert figures(amount, 2, grouped=True) == number.format(float(amount))
        assert amount_text(amount, "EUR") == f"{number.format(float(amount))}\u00a0EUR"
        assert kg_text(16250) == "16,25 kg"
        assert counted(2, "copy", "copies") == "2 Exemplare"
    assert (day_text(day), amount_text(amount, "EUR"), kg_text(16250)) == ("2026-05-04", "EUR 1,234,567.80", "16.25 kg")


def test_groups_are_in_the_order_of_the_language(unknown: Unknown) -> None:
    """DIN 5007, variant 1 (from memory): ä as a, ß as ss; in English they stay in the order of their letters."""
    names = ["Zimmer", "Ärztezimmer", "Arbeitszimmer", "Bad", "Straße", "Strasse 2"]
    assert sorted(names, key=order_of) == ["Arbeitszimmer", "Bad", "Strasse 2", "Straße", "Zimmer", "Ärztezimmer"]
    with speaking(catalogues.find_language("de")):
        german = sorted(names, key=order_of)
    assert german == ["Arbeitszimmer", "Ärztezimmer", "Bad", "Straße", "Strasse 2", "Zimmer"]
    assert unknown.asked == set()


def test_figures_are_in_the_order_of_their_values_in_each_language() -> None:
    names = ["box B10-72", "box B2-47", "box B1-56", "Ärzte 12", "Ärzte 3"]
    expected = ["Ärzte 3", "Ärzte 12", "box B1-56", "box B2-47", "box B10-72"]
    assert sorted(names, key=order_of) == [*expected[2:], *expected[:2]]
    with speaking(catalogues.find_language("de")):
        assert sorted(names, key=order_of) == expected


def _icu_day(day: date) -> float:
    return (day - date(1970, 1, 1)).days * 86400.0 + 43200.0


def test_a_locale_that_marks_thousands_and_currencies_its_own_way() -> None:
    """Swiss German by ICU: an apostrophe between thousands, the code of the currency before the amount."""
    # Which apostrophe differs by the release of the CLDR: Babel 2.18 has U+2019, Babel 2.19 U+0027.
    number = icu.NumberFormat.createInstance(icu.Locale("de_CH")).format(12345.5)
    with speaking(Language("de-CH", gettext.NullTranslations())):
        mine = figures(Decimal("12345.5"), 1, grouped=True)
        assert mine.replace("\u2019", "'") == number.replace("\u2019", "'")
        assert amount_text(Decimal(5), "CHF") == "CHF\u00a05.00"
