"""Records that try a paper: titles of 1 to 2,000 letters in 21 scripts, 60 authors, amounts of 1 to 15 digits, notes.

All words are made up of syllables; none is a title. The same seed gives the same records.
"""

import random
from dataclasses import dataclass
from decimal import Decimal

SYLLABLES = {
    "Latin": "ka sto lŷ før nač œil VA fi ffi Łu",
    "Greek": "νῆ σος ὀρ νί θων ᾧ",
    "Cyrillic": "ост ров пти ца йё",
    "Hebrew": "צי פו רי ים אב",
    "Arabic": "كتا طير لا سلا مد",
    "Devanagari": "हिन् दी क्षे त्र की",
    "Bengali": "বাং লা ক্ষি কথা",
    "Gurmukhi": "ਪੰ ਛੀ ਕਿ",
    "Gujarati": "પં ખી ક્ષે",
    "Tamil": "தமி கொக் குவ",
    "Telugu": "తెలు పక్షు గువ",
    "Kannada": "ಕನ್ನ ಹಕ್ಕಿ",
    "Malayalam": "മല യാളം കിളി",
    "Sinhala": "සිං කුරු හල",
    "Thai": "นก น้ำ ที่ บิน",
    "Khmer": "បក្សី ខ្មែរ ដី",
    "Burmese": "ငှက် မြန် မာ",
    "Georgian": "ფრი ნვე ლი",
    "Japanese": "鳥の 図鑑 ッカ 島は",
    "Chinese": "鸟类 图鉴 海岸",
    "Korean": "한국 새의 물가",
}
SPACED = frozenset(SYLLABLES) - {"Thai", "Khmer", "Burmese", "Japanese", "Chinese"}
CURRENCIES = ("EUR", "USD", "CHF", "JPY")


@dataclass(frozen=True)
class HostileRecord:
    """One copy of a hostile library."""

    number: str
    title: str
    authors: tuple[str, ...]
    edition: str
    isbn: str
    condition: str
    place: str
    amount: Decimal
    currency: str
    note: str
    mass_g: float


class HostileLibrary:
    """Makes records, always the same of one seed."""

    def __init__(self, seed: int) -> None:
        self.draw = random.Random(seed)
        self.made = 0

    def words(self, letters: int, script: str | None = None) -> str:
        """Return a text of about so many letters of one script, or of several."""
        text = ""
        while len(text) < letters:
            of = script or self.draw.choice(list(SYLLABLES))
            syllables = SYLLABLES[of].split()
            word = "".join(self.draw.choice(syllables) for _ in range(self.draw.randint(1, 4)))
            text += word + (" " if of in SPACED or self.draw.random() < 0.3 else "")
        return text.strip()

    def record(self) -> HostileRecord:
        """Return the next record."""
        self.made += 1
        draw = self.draw
        title = self.words(int(10 ** draw.uniform(0, 3.3 if draw.random() < 0.2 else 2)), self._script())
        if draw.random() < 0.02:
            title = "W" * draw.randint(50, 400)
        authors = tuple(self.words(12, self._script()) for _ in range(draw.choice((0, 1, 1, 2, 3, 60))))
        currency = draw.choice(CURRENCIES)
        amount = Decimal(draw.randint(1, 10 ** draw.randint(1, 15)))
        note = self.words(draw.choice((0, 20, 200, 9000 if draw.random() < 0.05 else 40)), "Latin")
        return HostileRecord(
            number=f"A{self.made}-{draw.randint(0, 99):02d}", title=title, authors=authors,
            edition=self.words(30), isbn="9795761064038", condition=self.words(draw.choice((2, 40, 300))),
            place=self.words(draw.choice((5, 30, 120))), amount=amount if currency == "JPY" else amount / 100,
            currency=currency, note=note, mass_g=draw.uniform(1, 99_999),
        )  # fmt: skip

    def records(self, count: int) -> list[HostileRecord]:
        """Return the next so many records."""
        return [self.record() for _ in range(count)]

    def _script(self) -> str | None:
        return self.draw.choice((*SYLLABLES, None))
