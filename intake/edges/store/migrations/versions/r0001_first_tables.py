"""The first tables: the catalog, the move, what was seen and valued, and the ledger."""

import sqlalchemy as sa
from alembic import op

from intake.edges.store.migrations.building import create as _create
from intake.edges.store.migrations.building import integer as _integer
from intake.edges.store.migrations.building import real as _real
from intake.edges.store.migrations.building import text as _text
from intake.edges.store.migrations.building import texts as _texts
from intake.edges.store.migrations.building import truth as _truth
from intake.edges.store.migrations.first_index import FIRST_WORD_INDEX

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Create everything."""
    _create_catalog()
    _create_move()
    _create_shelving()
    _create_findings()
    _create_appraisals()
    _create_ledger()
    if op.get_context().dialect.name == "sqlite":
        for statement in FIRST_WORD_INDEX:
            op.execute(statement)


def _create_catalog() -> None:
    _create("book_set", ("id",), _integer("id"), _text("title"), _integer("volumes", optional=True))
    _create(
        "edition",
        ("id",),
        _integer("id"),
        _text("title"),
        _text("key"),
        _text("number", optional=True),
        _text("add_on", optional=True),
        _text("contributors"),
        _text("publisher"),
        _integer("year", optional=True),
        _text("statement"),
        _text("binding"),
        _text("language"),
        _text("subject"),
        _text("call_number"),
        *_texts("printed_in", "hs_heading"),
        _integer("pages", optional=True),
        _real("height_mm", optional=True),
        _real("width_mm", optional=True),
        _real("thickness_mm", optional=True),
        _real("mass_g", optional=True),
        _integer("set_id", optional=True),
        _text("volume"),
        _text("title_key"),
        refers={"set_id": "book_set.id"},
        indexed=("key", "number", "title_key"),
    )
    _create(
        "printing",
        ("id",),
        _integer("id"),
        _integer("edition_id"),
        _integer("ordinal", optional=True),
        _integer("year", optional=True),
        _text("number_line"),
        _text("points"),
        refers={"edition_id": "edition.id"},
    )


def _create_move() -> None:
    _create(
        "consignment",
        ("reference",),
        _text("reference"),
        _text("consignor"),
        _text("consignee"),
        _text("carrier"),
        _text("origin"),
        _text("destination"),
        _text("dispatched", optional=True),
    )
    _create(
        "box",
        ("number",),
        _text("number"),
        _text("state"),
        _text("consignment", optional=True),
        _text("room"),
        _text("seal"),
        _text("note"),
        _real("length_mm", optional=True),
        _real("width_mm", optional=True),
        _real("height_mm", optional=True),
        _real("tare_g", optional=True),
        _real("gross_g", optional=True),
        _real("outer_length_mm", optional=True),
        _real("outer_width_mm", optional=True),
        _real("outer_height_mm", optional=True),
        _text("kind"),
        _text("delivered", optional=True),
        _real("arrived_g", optional=True),
        _text("carton"),
        _text("seal_state"),
        refers={"consignment": "consignment.reference"},
    )
    _create(
        "place",
        ("number",),
        _text("number"),
        _text("kind"),
        _text("name"),
        _text("parent", optional=True),
        _text("subject"),
        _integer("position"),
        _real("width_mm", optional=True),
        _real("height_mm", optional=True),
        _real("depth_mm", optional=True),
        _real("above_floor_mm", optional=True),
        _text("material"),
        _real("board_mm", optional=True),
        _real("span_mm", optional=True),
        _real("rated_g", optional=True),
        _real("mass_g", optional=True),
        refers={"parent": "place.number"},
    )
    _create(
        "copy",
        ("accession",),
        _text("accession"),
        _integer("edition_id"),
        _integer("printing_id", optional=True),
        _text("state"),
        _text("box", optional=True),
        _text("place", optional=True),
        _integer("position", optional=True),
        _text("shelfmark"),
        _text("grade", optional=True),
        _text("jacket", optional=True),
        _truth("has_jacket", optional=True),
        _truth("wrapped"),
        _text("condition"),
        _text("note"),
        *_texts("sewing", "covering", "finish", optional=True),
        _truth("slipcase", optional=True),
        *_texts("signed", "limitation"),
        refers={"edition_id": "edition.id", "printing_id": "printing.id", "box": "box.number", "place": "place.number"},
        indexed=("state",),
    )


def _create_shelving() -> None:
    _create("ordering", ("name",), _text("name"), _text("keys"), _text("language"))
    _create("printed", ("label",), _text("label"), _text("words"))


def _create_findings() -> None:
    _create(
        "picture",
        ("sha256",),
        _text("sha256"),
        _text("name"),
        _text("media_type"),
        _integer("width_px"),
        _integer("height_px"),
    )
    _create(
        "sighting",
        ("id",),
        _integer("id"),
        _text("copy"),
        _text("at"),
        _text("station"),
        _text("box", optional=True),
        _text("place", optional=True),
        _text("number", optional=True),
        _text("methods"),
        _text("picture", optional=True),
        refers={"copy": "copy.accession", "box": "box.number", "place": "place.number", "picture": "picture.sha256"},
    )
    _create(
        "query",
        ("id",),
        _integer("id"),
        _text("at"),
        _text("station"),
        _text("reason"),
        _text("number", optional=True),
        _text("add_on", optional=True),
        _text("box", optional=True),
        _text("picture", optional=True),
        _text("state"),
        _text("decision"),
        refers={"box": "box.number", "picture": "picture.sha256"},
        indexed=("state",),
    )
    _create(
        "valuation",
        ("id",),
        _integer("id"),
        _text("copy"),
        _text("amount"),
        _text("currency"),
        _text("on"),
        _text("basis"),
        _text("source"),
        _text("note"),
        refers={"copy": "copy.accession"},
    )
    _create(
        "boxpicture",
        ("id",),
        _integer("id"),
        _text("box"),
        _text("picture"),
        _text("note"),
        refers={"box": "box.number", "picture": "picture.sha256"},
    )
    _create(
        "discrepancy",
        ("id",),
        _integer("id"),
        _text("box"),
        _text("copy"),
        _text("kind"),
        _text("reason"),
        _text("at"),
        _text("station"),
        refers={"box": "box.number", "copy": "copy.accession"},
    )


def _create_appraisals() -> None:
    _create(
        "conditionreport",
        ("id",),
        _integer("id"),
        *_texts("copy", "at", "occasion", "station"),
        *_texts("grade", "jacket", optional=True),
        _truth("has_jacket", optional=True),
        _truth("wrapped"),
        *_texts("condition", "note"),
        refers={"copy": "copy.accession"},
    )
    _create(
        "copypicture",
        ("id",),
        *(_integer("id"), _integer("report", optional=True)),
        *_texts("copy", "picture", "note"),
        refers={"copy": "copy.accession", "picture": "picture.sha256", "report": "conditionreport.id"},
    )
    _create(
        "setvalue",
        ("id",),
        *(_integer("id"), _integer("set_id")),
        *_texts("amount", "currency", "on", "basis", "lacking", "source", "note"),
        refers={"set_id": "book_set.id"},
    )
    _create("rate", ("key",), *_texts("key", "on", "base", "currency", "per_base", "source"), indexed=("currency",))


def _create_ledger() -> None:
    _create(
        "ledger",
        ("seq",),
        _integer("seq"),
        _text("at"),
        _text("name"),
        _text("subject"),
        _text("station"),
        _text("request", optional=True),
        _text("note"),
        _integer("undoes", optional=True),
        _text("previous"),
        _text("digest"),
        sa.UniqueConstraint("request", name="uq_ledger_request"),
        refers={"undoes": "ledger.seq"},
    )
    _create(
        "ledger_change",
        ("seq", "nth"),
        _integer("seq"),
        _integer("nth"),
        _text("record_table"),
        _text("record_key"),
        _text("before", optional=True),
        _text("after", optional=True),
        sa.ForeignKeyConstraint(["seq"], ["ledger.seq"], name="fk_ledger_change_seq"),
    )
    op.create_index("ix_ledger_change_record", "ledger_change", ["record_table", "record_key", "seq"])
    _create("counter", ("name",), _text("name"), _integer("last"))
