"""Titles, sets and names in a product of ONIX for Books, in release 3.0 and in 2.1.

A collection is a set only where its parts are numbered, or where the sender says that it is one that he ascribes the
product to; any other is a publisher's series, and named as left out.
"""

from typing import TYPE_CHECKING

from intake.edges.exchange.record_remarks import RemarkKind, Remarks

if TYPE_CHECKING:
    from intake.edges.exchange.onix_read import Onix

TITLE_AS_GIVEN = "01"
PRODUCT_LEVEL, COLLECTION_LEVEL = "01", "02"
"""Lists 15 and 149: seen in a copy of a record."""
LAST = 1_000_000
"""The place of a contributor whom the sender gives none: after the others."""
ASCRIBED = "20"
"""List 148: 10 the publisher's, 20 ascribed (from memory)."""


def title_cells(described: "Onix", remarks: Remarks) -> dict[str, str]:
    """Return title, set and volume."""
    title = volume = set_title = ""
    details = described.all("TitleDetail")
    taken = next((one for one in details if one.value("TitleType") == TITLE_AS_GIVEN), None) or (
        details[0] if details else None
    )
    for detail in details:
        if detail is not taken:
            remarks.left_out(f"TitleDetail {detail.value('TitleType')}", _joined(detail.all("TitleElement")))
    for element in taken.all("TitleElement") if taken else ():
        level = element.value("TitleElementLevel")
        if level == COLLECTION_LEVEL:
            set_title, volume = title_of(element), element.value("PartNumber") or volume
        elif not title:
            title, volume = title_of(element), volume or element.value("PartNumber")
        else:
            remarks.left_out(f"TitleElement {level}", title_of(element))
    if not details:
        return _old_title_cells(described, remarks)
    in_set = (set_title, volume) if set_title else _collection(described, volume, remarks)
    # A product that has no title of its own carries that of its collection.
    return {"title": title or in_set[0], "set": in_set[0], "volume": in_set[1]}


def _joined(elements: list["Onix"]) -> str:
    return " ".join(title_of(element) for element in elements)


def title_of(element: "Onix") -> str:
    """Return a title with its prefix and its subtitle."""
    prefix, rest = element.value("TitlePrefix"), element.value("TitleWithoutPrefix")
    # An elided article has no blank after it: L'Étranger.
    joined = f"{prefix}{rest}" if prefix.endswith(("'", "’")) else f"{prefix} {rest}".strip()
    main = element.value("TitleText") or joined
    subtitle = element.value("Subtitle")
    return f"{main}: {subtitle}" if main and subtitle else main


def _collection(described: "Onix", volume: str, remarks: Remarks) -> tuple[str, str]:
    """Return the first collection that is a set, and the volume in it."""
    found = ("", volume)
    for one in described.all("Collection"):
        elements = [element for detail in one.all("TitleDetail") for element in detail.all("TitleElement")]
        name = next((text for element in elements if (text := title_of(element))), "")
        part = next((text for element in elements if (text := element.value("PartNumber"))), "")
        part = part or next((s.value("CollectionSequenceNumber") for s in one.all("CollectionSequence")), "")
        if name and not found[0] and (part or one.value("CollectionType") == ASCRIBED):
            found = (name, part or volume)
        else:
            remarks.left_out("Collection", f"{name} {part}".strip())
    return found


def _old_title_cells(described: "Onix", remarks: Remarks) -> dict[str, str]:
    """Return title, set and volume as release 2.1 gives them."""
    titles = described.all("Title")
    taken = next((one for one in titles if one.value("TitleType") == TITLE_AS_GIVEN), None) or (
        titles[0] if titles else None
    )
    for one in titles:
        if one is not taken:
            remarks.left_out(f"Title {one.value('TitleType')}", title_of(one))
    title = title_of(taken) if taken else _with_subtitle(described)
    for one in described.all("Set"):
        name = one.value("TitleOfSet") or _joined(one.all("Title"))
        return {"title": title, "set": name, "volume": one.value("ItemNumberWithinSet", "SetPartNumber")}
    for one in described.all("Series"):
        name, number = one.value("TitleOfSeries") or _joined(one.all("Title")), one.value("NumberWithinSeries")
        if name and number:
            return {"title": title, "set": name, "volume": number}
        remarks.left_out("Series", name)
    return {"title": title, "set": "", "volume": ""}


def _with_subtitle(described: "Onix") -> str:
    main, subtitle = described.value("DistinctiveTitle"), described.value("Subtitle")
    return f"{main}: {subtitle}" if main and subtitle else main


def contributor_names(described: "Onix", remarks: Remarks) -> list[str]:
    """Return the names of all contributors in the order that the sender gives them."""
    listed = described.all("Contributor")
    listed.sort(key=lambda one: int(n) if (n := one.value("SequenceNumber")).isdecimal() else LAST)
    names: list[str] = []
    for one in listed:
        direct = f"{one.value('NamesBeforeKey')} {one.value('KeyNames')}".strip()
        name = one.value("PersonName") or direct or one.value("PersonNameInverted", "CorporateName")
        role = one.value("ContributorRole")
        if role not in ("A01", "Z99", ""):
            remarks.left_out(f"ContributorRole {role}", f"of {name}")
        if ";" in name:
            remarks.add(RemarkKind.CONVERTED, "Contributor", name)
            name = name.replace(";", ",")
        if name and name not in names:
            names.append(name)
    return names
