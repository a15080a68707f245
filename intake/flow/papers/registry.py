"""The papers there are. Every surface offers all of them, each with its options, in every format that it has."""

from typing import Any

from intake.errors import UsageError
from intake.flow.papers import (
    box_papers,
    claim_papers,
    collection_paper,
    condition_papers,
    consignment_papers,
    copy_papers,
    customs_papers,
    household_papers,
    inventory_paper,
    plan_papers,
    schedule_papers,
    serial_papers,
    shelf_papers,
)
from intake.flow.papers import option_fields as fields
from intake.flow.papers.label_registry import LABEL_PAPERS
from intake.flow.papers.paper import DRAWING, PAGES_AND_SITE, PAGES_AND_TABLE, Paper, PaperGroup

VALUES = (fields.CURRENCY, fields.RATES_ON, fields.BASIS, fields.OWNER, fields.ADDRESS)
CLAIM = (
    fields.REFERENCE, fields.REGIME, fields.GOODS, fields.CURRENCY, fields.RATE, fields.RATE_ON, fields.RATE_SOURCE,
    fields.RATES_ON, fields.PACKAGES, fields.VOLUME, fields.PER_KG, fields.CHARGES, fields.DECLARED, fields.PACKED_BY,
    fields.DELIVERED, fields.HOLIDAYS, fields.AWAITED_LOST, fields.INSURED, fields.LANGUAGE, fields.SIZE,
)  # fmt: skip

PACKING_PLAN = Paper(
    name="packing-plan",
    title="Packing plan",
    summary="Which copy goes into which box and layer; planned anew each time.",
    group=PaperGroup.BOXES,
    options=(
        fields.SECONDS_TO_PLAN, fields.SHELVED, fields.SPLIT_SETS, fields.LANGUAGE, fields.SIZE,
        fields.BYTE_ORDER_MARK,
    ),
    formats=PAGES_AND_TABLE,
    gather=plan_papers.gather_packing_plan,
    lay_out=plan_papers.lay_out_packing_plan,
    tabulate=plan_papers.tabulate_packing_plan,
)  # fmt: skip
PACKING_LIST = Paper(
    name="packing-list",
    parts=fields.BOXES.name,
    title="Packing lists",
    summary="What is in each box.",
    group=PaperGroup.BOXES,
    options=(fields.BOXES, fields.WHY, fields.LANGUAGE, fields.SIZE, fields.BYTE_ORDER_MARK),
    formats=PAGES_AND_TABLE,
    gather=box_papers.gather_packing_lists,
    lay_out=box_papers.lay_out_packing_lists,
    tabulate=box_papers.tabulate_packing_lists,
    copies_on=box_papers.copies_on_lists,
)
MASTER_LIST = Paper(
    name="master-list",
    title="Master list",
    summary="All boxes of a consignment, without prices.",
    group=PaperGroup.BOXES,
    options=(fields.REFERENCE, fields.LANGUAGE, fields.SIZE, fields.BYTE_ORDER_MARK),
    formats=PAGES_AND_TABLE,
    is_acted_on=True,
    gather=box_papers.gather_master_list,
    lay_out=box_papers.lay_out_master_list,
    tabulate=box_papers.tabulate_master_list,
)
DISCREPANCIES = Paper(
    name="discrepancies",
    title="Discrepancy report",
    summary="What of a consignment did not arrive as it left.",
    group=PaperGroup.BOXES,
    options=(fields.REFERENCE, fields.LANGUAGE, fields.SIZE, fields.BYTE_ORDER_MARK),
    formats=PAGES_AND_TABLE,
    is_acted_on=True,
    gather=claim_papers.gather_discrepancies,
    lay_out=claim_papers.lay_out_discrepancies,
    tabulate=claim_papers.tabulate_discrepancies,
)
NOTICE = Paper(
    name="notice",
    title="Notice of loss and damage",
    summary="The letter to the carrier; not legal advice.",
    group=PaperGroup.BOXES,
    options=(fields.REFERENCE, fields.DELIVERED, fields.LANGUAGE, fields.SIZE),
    is_acted_on=True,
    gather=claim_papers.gather_notice,
    lay_out=claim_papers.lay_out_notice,
)
PERIODS = Paper(
    name="periods",
    title="Periods and limits",
    summary="Your own sheet: until when to give notice, and what the carrier would owe at most.",
    group=PaperGroup.BOXES,
    options=CLAIM,
    is_acted_on=True,
    gather=claim_papers.gather_periods,
    lay_out=claim_papers.lay_out_periods,
)
INVENTORY = Paper(
    name="inventory",
    title="Inventory",
    summary="Every copy with its condition, place and value as recorded.",
    group=PaperGroup.LISTS,
    options=(fields.OWNER, fields.WHY, fields.LANGUAGE, fields.SIZE, fields.BYTE_ORDER_MARK),
    formats=PAGES_AND_TABLE,
    is_acted_on=True,
    gather=inventory_paper.gather_inventory,
    lay_out=inventory_paper.lay_out_inventory,
    tabulate=inventory_paper.tabulate_inventory,
    copies_on=inventory_paper.copies_on_inventory,
)
INSURANCE = Paper(
    name="insurance",
    title="Insurance schedule",
    summary="Every copy with its value in one currency, by room or class, with photographs.",
    group=PaperGroup.LISTS,
    options=(
        *VALUES,
        fields.GROUPING,
        fields.SINGLE_LIMIT,
        fields.INSURED,
        fields.NO_PHOTOGRAPHS,
        fields.WHY,
        fields.LANGUAGE,
        fields.SIZE,
        fields.BYTE_ORDER_MARK,
    ),
    formats=PAGES_AND_TABLE,
    is_acted_on=True,
    gather=schedule_papers.gather_insurance,
    lay_out=schedule_papers.lay_out_insurance,
    tabulate=schedule_papers.tabulate_schedule,
    copies_on=schedule_papers.copies_on_schedule,
)  # fmt: skip
HIGH_VALUE = Paper(
    name="high-value",
    title="High-value list",
    summary="The copies that are each worth more than an amount, the dearest first.",
    group=PaperGroup.LISTS,
    options=(
        fields.LIMIT,
        *VALUES,
        fields.NO_PHOTOGRAPHS,
        fields.WHY,
        fields.LANGUAGE,
        fields.SIZE,
        fields.BYTE_ORDER_MARK,
    ),
    formats=PAGES_AND_TABLE,
    is_acted_on=True,
    gather=schedule_papers.gather_high_value,
    lay_out=schedule_papers.lay_out_high_value,
    tabulate=schedule_papers.tabulate_schedule,
    copies_on=schedule_papers.copies_on_schedule,
)
MOVE = Paper(
    name="move",
    title="Move inventory",
    summary="A consignment box by box, with condition and value, and lines to sign at both ends.",
    group=PaperGroup.LISTS,
    options=(
        fields.REFERENCE,
        fields.CURRENCY,
        fields.RATES_ON,
        fields.WHY,
        fields.LANGUAGE,
        fields.SIZE,
        fields.BYTE_ORDER_MARK,
    ),
    formats=PAGES_AND_TABLE,
    is_acted_on=True,
    gather=consignment_papers.gather_move_inventory,
    lay_out=consignment_papers.lay_out_move_inventory,
    tabulate=consignment_papers.tabulate_move_inventory,
    copies_on=consignment_papers.copies_on_inventory,
)
CUSTOMS = Paper(
    name="customs",
    title="Customs list",
    summary="The goods of a consignment for a customs office.",
    group=PaperGroup.LISTS,
    options=(fields.REFERENCE, fields.CURRENCY, fields.RATES_ON, fields.LANGUAGE, fields.SIZE, fields.BYTE_ORDER_MARK),
    formats=PAGES_AND_TABLE,
    is_acted_on=True,
    gather=customs_papers.gather_customs_list,
    lay_out=customs_papers.lay_out_customs_list,
    tabulate=customs_papers.tabulate_customs_list,
)
HOUSEHOLD = Paper(
    name="household",
    title="Declaration of household effects",
    summary="For relief from duty and tax when residence is moved: a text to sign, its conditions checked.",
    group=PaperGroup.LISTS,
    options=(
        fields.REFERENCE, fields.RELIEF, fields.LEFT_ON, fields.SETTLED_ON, fields.ABROAD_SINCE, fields.ENTRY_ON,
        fields.OWNER, fields.CURRENCY, fields.RATES_ON, fields.LANGUAGE, fields.SIZE,
        fields.BYTE_ORDER_MARK,
    ),
    formats=PAGES_AND_TABLE,
    is_acted_on=True,
    gather=household_papers.gather_declaration,
    lay_out=household_papers.lay_out_declaration,
    tabulate=household_papers.tabulate_declaration,
)  # fmt: skip
BOOKCASES = Paper(
    name="bookcases",
    title="Bookcases",
    summary="Each bookcase to scale, with its books as they stand.",
    group=PaperGroup.SHELVES,
    options=(fields.BOOKCASES, fields.LANGUAGE, fields.SIZE),
    formats=DRAWING,
    gather=shelf_papers.gather_bookcases,
    lay_out=shelf_papers.lay_out_bookcases,
)
SERIALS = Paper(
    name="serials",
    title="Serials",
    summary="Each serial as a ruler, with the editions that collect it as bars, and its gaps.",
    group=PaperGroup.SHELVES,
    options=(fields.SERIALS, fields.LANGUAGE, fields.SIZE),
    formats=DRAWING,
    gather=serial_papers.gather_serials,
    lay_out=serial_papers.lay_out_serials,
)
COLLECTION = Paper(
    name="collection",
    title="The collection as a book",
    summary="Every copy with its cover, what it collects, where it stands and why it is kept; as pages or a website.",
    group=PaperGroup.SHELVES,
    options=(
        fields.CATALOGUE_ORDER,
        fields.OWNER,
        fields.ADDRESS,
        fields.SHOW_VALUES,
        fields.NO_WHY,
        fields.LANGUAGE,
        fields.SIZE,
    ),
    formats=PAGES_AND_SITE,
    gather=collection_paper.gather_collection,
    lay_out=collection_paper.lay_out_collection,
    as_site=collection_paper.collection_site,
)
COPY = Paper(
    name="copy",
    title="All about one copy",
    summary="Everything that is recorded of one copy.",
    group=PaperGroup.COPY,
    options=(fields.COPY, fields.WHY, fields.LANGUAGE, fields.SIZE),
    is_acted_on=True,
    gather=copy_papers.gather_copy,
    lay_out=copy_papers.lay_out_copy,
    copies_on=copy_papers.copies_on_dossier,
)
CONDITION = Paper(
    name="condition",
    title="Condition reports",
    summary="The condition of copies before and after the move, side by side.",
    group=PaperGroup.COPY,
    options=(fields.REPORTED_COPIES, fields.WHY, fields.LANGUAGE, fields.SIZE),
    is_acted_on=True,
    gather=condition_papers.gather_condition,
    lay_out=condition_papers.lay_out_condition,
    copies_on=condition_papers.copies_on_reports,
)

PAPERS: tuple[Paper[Any], ...] = (
    *LABEL_PAPERS,
    PACKING_PLAN, PACKING_LIST, MASTER_LIST, DISCREPANCIES, NOTICE, PERIODS,
    INVENTORY, INSURANCE, HIGH_VALUE, MOVE, CUSTOMS, HOUSEHOLD,
    BOOKCASES, SERIALS, COLLECTION,
    COPY, CONDITION,
)  # fmt: skip
"""Every paper, group by group in the order of `PaperGroup`."""


def find_paper(name: str) -> Paper[Any]:
    """Return the paper of a name.

    Raises:
        UsageError: there is none.
    """
    for paper in PAPERS:
        if paper.name == name:
            return paper
    names = ", ".join(paper.name for paper in PAPERS)
    raise UsageError(f"The paper {name!r}", "is not one that can be printed", f"name one of {names}")
