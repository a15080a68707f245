"""The proof of a list as one line of text, which is printed as a symbol and can be parsed again.

    intake-proof 1; list=insurance schedule; date=2026-05-01; of=all; values=counted; copies=71; unvalued=12;
    total=EUR 1234.50 replacement 40; total=USD 55.00 market 2; entry=9120; head=0123…

It is one line; names and values are ASCII, with other characters and the semicolon percent-encoded (RFC 3986). The
totals are those recorded, by currency and basis, with the number of copies in each: no rate is involved, so that they
can be recomputed from the ledger alone. The head is SHA-256 in hexadecimal. It proves nothing by itself: it has to be
compared with the ledger.
"""

import re
from datetime import date
from decimal import Decimal, InvalidOperation
from urllib.parse import quote, unquote

from intake.model.schedules import Proof, ProofTotal

MARK = "intake-proof 1"
COUNTED = "counted"
"""For each copy the value that counts where no basis is asked for (`intake.valuing.counting`)."""
LATEST = "latest"
"""The latest value whatever its basis, a purchase price too: what lists of earlier versions of the program counted."""
PLAIN = " -_./:,"
HEAD = re.compile(r"[0-9a-f]{64}")
WHOLE = re.compile(rf"{MARK}(?:;\s+[a-z]+=[\x20-\x3a\x3c-\x7e\s]*)+")


def to_text(proof: Proof) -> str:
    """Return a proof as its one line of text."""
    totals = [
        ("total", f"{total.currency} {total.amount:f} {total.basis} {total.count}")
        for total in sorted(proof.totals, key=lambda total: (total.currency, total.basis))
    ]
    pairs = [
        ("list", proof.purpose),
        ("date", proof.on.isoformat()),
        ("of", proof.scope),
        ("values", proof.basis or COUNTED),
        ("copies", str(proof.copies)),
        ("unvalued", str(proof.unvalued)),
        *totals,
        ("entry", str(proof.seq)),
        ("head", proof.head),
    ]
    return "; ".join([MARK, *(f"{name}={quote(value, safe=PLAIN)}" for name, value in pairs)])


def parse(text: str) -> Proof | None:
    """Find and parse a proof in a text, even with line breaks in it; None if there is no complete one."""
    match = WHOLE.search(text)
    if match is None:
        return None
    pairs = [piece.strip().partition("=") for piece in match.group().split(";")[1:]]
    values = {name: unquote(" ".join(value.split())) for name, _, value in pairs}
    head = re.search(r"head=([0-9a-f\s]{64,})", match.group())
    values["head"] = re.sub(r"\s", "", head.group(1))[:64] if head else ""
    try:
        return Proof(
            purpose=values["list"],
            on=date.fromisoformat(values["date"].replace(" ", "")),
            scope=values["of"],
            basis="" if values["values"] == COUNTED else values["values"],
            copies=int(values["copies"]),
            unvalued=int(values["unvalued"]),
            totals=tuple(_total(" ".join(unquote(value).split())) for name, _, value in pairs if name == "total"),
            seq=int(values["entry"]),
            head=values["head"] if HEAD.fullmatch(values["head"]) else "",
        )
    except (KeyError, ValueError, InvalidOperation):
        return None


def _total(text: str) -> ProofTotal:
    currency, amount, basis, count = text.split(" ")
    return ProofTotal(currency=currency, basis=basis, amount=Decimal(amount), count=int(count))
