"""Linked scripts of MARC 21: the same content romanised in the regular field and as printed in field 880.

A title is kept as on the title page, so what stands in 880 replaces its partner; the romanised form is named as left
out. Parts that make one text, such as a title and its subtitle, are never taken from both. Source: MARC 21,
appendix A, control subfield $6: `linking tag-occurrence/script/orientation`, 00 for no partner.
"""

import re
from collections.abc import Mapping

from intake.edges.exchange.marc_fields import MarcField, MarcRecord, Subfield
from intake.edges.exchange.record_remarks import Remarks
from intake.model.lookups import RecordNoteKind

_LINK = re.compile(r"(\d{3})-(\d\d)")
NO_PARTNER = "00"
NOT_IN_880 = "beside 880"
"""Behind the place of a part that the field in the script of the book does not repeat."""


def in_own_script(record: MarcRecord, one_text: Mapping[str, str], remarks: Remarks) -> MarcRecord:
    """Return the record with the fields of these tags in the script of the book.

    Args:
        record: as read.
        one_text: by tag of the fields that are used, the subfields that make one text: they all come from the 880, or
            none where it lacks the first of them. The 880 of any other tag stays as it is.
        remarks: each replacement is noted, and each part that stays behind.
    """
    if not any(field.tag == "880" for field in record.fields):
        return record
    linked: dict[tuple[str, str], MarcField] = {}
    alone: list[MarcField] = []
    others: list[MarcField] = []
    for field in record.having("880"):
        link = _LINK.match(field.first("6"))
        codes = one_text.get(link[1]) if link else None
        if link is None or codes is None or (codes and not field.first(codes[0])):
            others.append(field)
        elif link[2] == NO_PARTNER:
            alone.append(field._replace(tag=link[1]))
        else:
            linked[link[1], link[2]] = field
    fields = [
        _replaced(field, linked, one_text.get(field.tag, ""), remarks) for field in record.fields if field.tag != "880"
    ]
    fields += [field._replace(tag=tag) for (tag, _), field in linked.items()]
    return record._replace(fields=[*fields, *alone, *others])


def _replaced(field: MarcField, linked: dict[tuple[str, str], MarcField], one_text: str, remarks: Remarks) -> MarcField:
    """Return a field in the script of its partner; what the partner does not repeat stays, unless it is of one text."""
    link = _LINK.match(field.first("6"))
    partner = linked.pop((field.tag, link[2]), None) if link else None
    if partner is None:
        return field
    remarks.converted(f"{field.tag} to 880", " ".join(field.all("abnp")), RecordNoteKind.OTHER_SCRIPT)
    given = {code for code, _ in partner.subfields}
    kept: list[Subfield] = []
    for code, text in field.subfields:
        if code in given:
            continue
        if code in one_text:
            remarks.left_out(f"{field.tag} ${code} {NOT_IN_880}", text)
        else:
            kept.append((code, text))
    return field._replace(subfields=[*partner.subfields, *kept])


def by_tag(record: MarcRecord) -> Mapping[str, list[MarcField]]:
    """Return the fields of a record by their tag."""
    fields: dict[str, list[MarcField]] = {}
    for field in record.fields:
        fields.setdefault(field.tag, []).append(field)
    return fields
