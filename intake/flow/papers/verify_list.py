"""A printed list held against the library: is it of this ledger, was it true that day, and what changed since.

Three questions, each answered by itself: whether the entry that the proof names carries the digest that it names, and
the chain is whole (else the list, or the ledger, is another); whether its count and totals are those of that entry;
and which of its copies are not today as they were, in value, state or description.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from intake.edges import print_pictures, proof_files
from intake.edges.store.library import Library
from intake.edges.store.queries.chain_check import verify_chain
from intake.edges.store.queries.condition import copy_pictures
from intake.edges.store.queries.ledger_entries import changes_since, ledger_entry
from intake.errors import FileError
from intake.flow.lookup.wording import title_words
from intake.flow.papers.proofs import ProofRecords, claim, held_now, in_scope, turned_back, values_in
from intake.flow.papers.verify_rows import Row, RowCheck, check_rows, row_lines
from intake.flow.values.ledger_diff import changes_of
from intake.identifiers.own import serial_of
from intake.model.currencies import amount_text
from intake.model.editions import Edition
from intake.model.schedules import Proof
from intake.units.counts import counted, noun
from intake.valuing import proof as proof_words


@dataclass(frozen=True, slots=True)
class ChangedCopy:
    """One copy of the list that is not as it was; `entries` are the ledger's that changed it."""

    copy: str
    title: str
    what: str
    entries: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ProofCheck:
    """What became of a list.

    Attributes:
        known: whether the ledger has the entry under the digest that the list names.
        broken: the first ledger entry that is not sound; None where the chain is whole.
        wrong: what the list says otherwise than the ledger did when it was made.
        agrees: whether a list made now would have the same count and totals.
        changed: its copies that are not as they were.
        rows: whether its rows are those of that entry; None where they were not compared.
        pictures: photographs of its copies that are missing or altered: (SHA-256, which of the two).
    """

    proof: Proof
    known: bool
    broken: int | None
    wrong: tuple[str, ...]
    agrees: bool
    changed: tuple[ChangedCopy, ...]
    pictures: tuple[tuple[str, str], ...]
    rows: RowCheck | None = None

    @property
    def sound(self) -> bool:
        """Tell whether the list is one of this library's and said the truth of its day."""
        rows_are_right = self.rows is None or not self.rows.differences
        return self.known and self.broken is None and not self.wrong and rows_are_right


def find_proof(path: Path) -> Proof:
    """Read the proof that a file carries.

    Raises:
        FileError: the file cannot be read, or carries none.
    """
    for text in proof_files.read_texts(path):
        found = proof_words.parse(text)
        if found is not None:
            return found
    raise FileError(str(path), "carries no proof that can be read", proof_files.REMEDY)


def read_proof(text: str) -> Proof | None:
    """Return the proof whose words a person typed; None where they are not those of one."""
    return proof_words.parse(text)


def verify(library: Library, proof: Proof, rows: Sequence[Row] | None = None) -> ProofCheck:
    """Compare a proof, and the rows of its list where they are given, with the library as it is."""
    with library.reading() as records:
        entry = ledger_entry(records, proof.seq)
        known = entry is not None and entry.digest == proof.head
        broken = verify_chain(records)
        if not known:
            return ProofCheck(
                proof=proof, known=False, broken=broken, wrong=(), agrees=False, changed=(), pictures=()
            )  # fmt: skip
        later = list(changes_since(records, proof.seq))
        now = held_now(records, with_rates=proof.scope.startswith("over "))
        then = turned_back(now, (change for _, change in later))
        listed = set(in_scope(then, proof.scope, values_in(then, proof.basis)))
        values = (values_in(then, proof.basis), values_in(now, proof.basis))
        copies = listed.union(in_scope(now, proof.scope, values[1]))
        held = [now.copies.get(copy) or then.copies[copy] for copy in sorted(copies, key=serial_of)]
        found = {one.copy: one for one in changes_of([(c.accession, c.edition_id) for c in held], later, values)}
        editions = {copy.accession: records.get(Edition, copy.edition_id) for copy in held if copy.accession in found}
        compared = None
        if rows is not None:
            compared = check_rows(records, rows, then, listed, values[0], (change for _, change in later))
        shown = {picture.picture for picture in copy_pictures(records) if picture.copy in listed}
    changed = tuple(
        ChangedCopy(copy, title_words(edition) if edition else "", "; ".join(found[copy].words), found[copy].entries)
        for copy, edition in editions.items()
    )
    bad = print_pictures.find_altered((sha256, library.picture_path(sha256)) for sha256 in sorted(shown))
    return ProofCheck(
        proof=proof,
        known=True,
        broken=broken,
        wrong=tuple(_differences(proof, _claimed(proof, then))),
        agrees=not list(_differences(proof, _claimed(proof, now))),
        changed=changed,
        pictures=tuple(bad.items()),
        rows=compared,
    )


def _claimed(proof: Proof, held: ProofRecords) -> Proof:
    entry = (proof.seq, proof.head)
    return claim(held, purpose=proof.purpose, scope=proof.scope, basis=proof.basis, on=proof.on, entry=entry)


def _differences(said: Proof, is_so: Proof) -> Iterator[str]:
    """Yield what a list says otherwise than the records."""
    if said.copies != is_so.copies:
        yield f"it counts {counted(said.copies, 'copy', 'copies')}, the ledger {is_so.copies}"
    if said.unvalued != is_so.unvalued:
        yield f"it counts {counted(said.unvalued, 'copy', 'copies')} without a value, the ledger {is_so.unvalued}"
    ours = {(total.currency, total.basis): (total.amount, total.count) for total in said.totals}
    theirs = {(total.currency, total.basis): (total.amount, total.count) for total in is_so.totals}
    for currency, basis in sorted(ours.keys() | theirs.keys()):
        one, two = ours.get((currency, basis)), theirs.get((currency, basis))
        if one != two:
            words = [f"{amount_text(x[0], currency)} of {x[1]}" if x else "none" for x in (one, two)]
            yield f"its {currency} total of {basis} values is {words[0]}, the ledger's {words[1]}"


SHOWN = 50


def result_lines(verdict: ProofCheck, shown: int | None = SHOWN) -> list[str]:
    """Tell a verdict in sentences.

    Args:
        verdict: of the check.
        shown: how many of the copies that changed are named; None for all.
    """
    proof = verdict.proof
    copies = counted(proof.copies, "copy", "copies")
    said = [f"{proof.purpose.capitalize()} of {proof.on}, {copies}, ledger entry {proof.seq}"]
    if not verdict.known:
        return [*said, "This library's ledger has no such entry: the list, or the ledger, is another."]
    if verdict.broken is not None:
        said.append(f"The ledger itself is not whole from entry {verdict.broken} on; see 'intake check'.")
    said += [f"The list says otherwise than the ledger of its day: {one}." for one in verdict.wrong]
    if not verdict.wrong:
        said.append("Its count and totals are those of the ledger at that entry.")
    said += row_lines(verdict.rows)
    said.append("The library still agrees with it." if verdict.agrees and not verdict.changed else "Changed since:")
    said += [f"  {one.copy}  {one.title}: {one.what} ({_entries(one.entries)})" for one in verdict.changed[:shown]]
    if shown is not None and len(verdict.changed) > shown:
        said.append(f"  … and {counted(len(verdict.changed) - shown, 'more copy', 'more copies')}; --all shows them")
    return [*said, *(f"  photograph {sha256} is {what}" for sha256, what in verdict.pictures)]


def _entries(seqs: tuple[int, ...]) -> str:
    return f"{noun(len(seqs), 'entry', 'entries')} {', '.join(map(str, seqs))}"
