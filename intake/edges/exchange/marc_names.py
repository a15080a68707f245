"""What the fields of MARC 21 are called, for a person who is told that one was left out.

Source: the list of fields of the MARC 21 Format for Bibliographic Data (Library of Congress), names shortened.
"""

from collections.abc import Mapping

FIELD_NAMES: Mapping[str, str] = {
    "003": "control number identifier",
    "005": "date of latest transaction",
    "006": "additional material characteristics",
    "007": "physical description codes",
    "008": "fixed-length data",
    "010": "Library of Congress control number",
    "015": "national bibliography number",
    "016": "control number of a national agency",
    "020": "ISBN",
    "022": "ISSN",
    "024": "other standard number",
    "028": "publisher's number",
    "035": "system control number",
    "040": "cataloging source",
    "041": "language codes",
    "043": "geographic area code",
    "050": "Library of Congress call number",
    "082": "Dewey classification number",
    "084": "other classification number",
    "100": "main entry, personal name",
    "110": "main entry, corporate name",
    "111": "main entry, meeting name",
    "130": "main entry, uniform title",
    "240": "uniform title",
    "245": "title statement",
    "246": "varying form of title",
    "250": "edition statement",
    "260": "publication",
    "264": "production, publication, manufacture",
    "300": "physical description",
    "336": "content type",
    "337": "media type",
    "338": "carrier type",
    "362": "dates of publication of a serial",
    "490": "series statement",
    "500": "general note",
    "502": "dissertation note",
    "504": "bibliography note",
    "505": "contents",
    "520": "summary",
    "521": "target audience",
    "546": "language note",
    "563": "binding",
    "600": "subject, personal name",
    "610": "subject, corporate name",
    "648": "subject, chronological term",
    "650": "subject, topical term",
    "651": "subject, geographic name",
    "653": "uncontrolled index term",
    "655": "genre or form",
    "700": "added entry, personal name",
    "710": "added entry, corporate name",
    "711": "added entry, meeting name",
    "730": "added entry, uniform title",
    "740": "added entry, title",
    "773": "host item",
    "775": "other edition",
    "776": "other physical form",
    "830": "series added entry",
    "852": "location",
    "856": "electronic location",
    "876": "item information",
    "880": "other script",
}

TECHNICAL = frozenset(
    ["003", "005", "006", "007", "010", "015", "016", "035", "040", "042", "043", "336", "337", "338"]
)
"""Fields about the record or its numbers in other systems, not about the book."""


def field_name(where: str) -> str:
    """Return what a field is called, given a tag or a tag with a subfield; empty where it is not known.

    >>> field_name("490 $x")
    'series statement'
    """
    return FIELD_NAMES.get(where[:3], "")
