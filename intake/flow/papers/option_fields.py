"""Each option of papers, as every surface asks for it: what it is called, what it does, and how it is read."""

from datetime import date

from intake.carriage.household import Relief
from intake.carriage.regimes import REGIMES
from intake.edges.catalogues import languages
from intake.errors import UsageError
from intake.flow.papers import choice_words
from intake.flow.papers.options import SIZES_MM, CatalogueOrder, Grouping, PaperOption, SpineText, Suggestion
from intake.flow.values.exchange_rates import currency_code, how_old
from intake.model.carriage import Goods, Packer
from intake.model.valuations import Basis
from intake.units.amounts import parse_amount, parse_day
from intake.units.quantities import parse_mass_g


def count(text: str) -> int:
    """Read a whole number from 1 on.

    Raises:
        UsageError: it is not one.
    """
    if not text.isdecimal() or len(text) > 6 or int(text) < 1:
        raise UsageError(f"The number {text!r}", "is not a whole number from 1 on", "write it like 3")
    return int(text)


def counts(text: str) -> tuple[int, ...]:
    """Read whole numbers from 1 on, with commas or spaces between them; each counts once.

    Raises:
        UsageError: one of them is none.

    >>> counts("5, 1,2 5")
    (1, 2, 5)
    """
    return tuple(sorted({count(part) for part in text.replace(",", " ").split()}))


def days(text: str) -> tuple[date, ...]:
    """Read days with commas between them.

    Raises:
        UsageError: one of them is not a day.
    """
    return tuple(parse_day(part) for part in text.replace(",", " ").split())


def seconds(text: str) -> float:
    """Read a time in seconds, at most an hour.

    Raises:
        UsageError: it is not one.
    """
    time = parse_amount(text)
    if time > 3600:
        raise UsageError(f"The time {text!r}", "is more than an hour", "write seconds, such as 20")
    return float(time)


BOXES = PaperOption(
    name="boxes", label="Box", summary="The boxes; all unless some are named.", suggests=Suggestion.BOXES, many=True
)
SHELVES = PaperOption(name="shelves", label="Shelves", summary="The shelves; all unless some are named.", many=True)
STANDING_COPIES = PaperOption(
    name="copies", label="Copies", summary="The copies; those that stand on shelves unless some are named.", many=True
)
REPORTED_COPIES = PaperOption(
    name="copies", label="Copies", summary="The copies; those that have a report unless some are named.", many=True
)
BOOKCASES = PaperOption(
    name="bookcases",
    label="Bookcase",
    summary="The bookcases; all unless some are named.",
    suggests=Suggestion.BOOKCASES,
    many=True,
)
SERIALS = PaperOption(
    name="serials",
    label="Serial",
    summary="The serials; all unless some are named.",
    suggests=Suggestion.SERIALS,
    many=True,
)
COPY = PaperOption(name="copy", label="Copy", summary="The number of the copy.", required=True)
REFERENCE = PaperOption(
    name="reference",
    label="Consignment",
    summary="The carrier's reference.",
    suggests=Suggestion.CONSIGNMENTS,
    required=True,
)
TEMPLATE = PaperOption(
    name="template",
    flag="template",
    label="Sheet or roll",
    summary="The labels that it is printed on.",
    suggests=Suggestion.TEMPLATES,
)
START = PaperOption(
    name="start", flag="start", label="First label that is still on the sheet",
    summary="First label that is still on the sheet.", read=count,
)  # fmt: skip
USED = PaperOption(
    name="used", flag="used", label="Labels that are gone from the first sheet",
    summary="Labels that are gone from the first sheet, such as 1,2,5.", read=counts,
)  # fmt: skip
SPINE_TEXT = PaperOption(
    name="spine_text", flag="show", label="Shelfmark or title", summary="What each label shows: shelfmark or title.",
    read=SpineText, choices=tuple(text.value for text in SpineText),
)  # fmt: skip
ONLY_CHANGED = PaperOption(
    name="only_changed", flag="changed", label="Only those that changed since last printed",
    summary="Only those that changed since last printed.", is_flag=True,
)  # fmt: skip
SIZE = PaperOption(
    name="size", flag="paper", label="Paper", summary="The size of the paper.", choices=tuple(SIZES_MM)
)  # fmt: skip
BYTE_ORDER_MARK = PaperOption(
    name="marked", flag="bom", label="Begin a CSV file with a byte order mark",
    summary="Begin a CSV file with a byte order mark, without which some spreadsheets misread its letters.",
    is_flag=True,
)  # fmt: skip
LANGUAGE = PaperOption(
    name="language", flag="language", label="Language", summary="The language of the paper; what is recorded stays.",
    choices=languages(), choice_words=choice_words.LANGUAGES,
)  # fmt: skip
CURRENCY = PaperOption(
    name="currency", flag="currency", label="Currency", summary="Of all totals (ISO 4217).", read=currency_code
)
RATES_ON = PaperOption(
    name="rates_on", flag="on", label="Day of the rates", read=parse_day,
    summary=f"Day of the rates, as 2026-03-31; else today. {how_old()}",
)  # fmt: skip
BASIS = PaperOption(
    name="basis", flag="basis", label="Basis",
    summary="Only values on this basis; else the latest valuation, or a price paid.",
    read=Basis, choices=tuple(basis.value for basis in Basis),
)  # fmt: skip
OWNER = PaperOption(
    name="owner", flag="owner", label="Whose books", summary="Whose books they are, as it is to be printed."
)
ADDRESS = PaperOption(
    name="address", flag="address", label="Where the books are kept", summary="Where the books are kept."
)
SHOW_VALUES = PaperOption(
    name="show_values", flag="values", label="Print the value of each copy, too",
    summary="Print the value of each copy, which is left out otherwise.", is_flag=True,
)  # fmt: skip
WHY = PaperOption(
    name="show_why", flag="why", label="Say why each copy is kept, too",
    summary="Say why each copy is kept, in your own words, which is left out otherwise.", is_flag=True,
)  # fmt: skip
NO_WHY = PaperOption(
    name="no_why", flag="no-why", label="Leave out why each copy is kept (your own notes)",
    summary="Leave out why each copy is kept: your own notes, which are printed otherwise.", is_flag=True,
)  # fmt: skip
GROUPING = PaperOption(
    name="grouping", flag="by", label="Grouped by", summary="Group the copies by room or by class.",
    read=Grouping, choices=tuple(grouping.value for grouping in Grouping),
)  # fmt: skip
CATALOGUE_ORDER = PaperOption(
    name="catalogue_order", flag="by", label="Grouped by", summary="Group the book by room, subject, person or serial.",
    read=CatalogueOrder, choices=tuple(order.value for order in CatalogueOrder),
)  # fmt: skip
LIMIT = PaperOption(
    name="limit", label="Worth more than", summary="The amount above which a copy is listed.", read=parse_amount,
    required=True,
)  # fmt: skip
SINGLE_LIMIT = PaperOption(
    name="single_limit", flag="single-limit", label="List by itself what is worth more than",
    summary="List by itself what is worth more than this.", read=parse_amount,
)  # fmt: skip
INSURED = PaperOption(
    name="insured", flag="insured", label="Sum insured", summary="Sum insured, to compare the value with.",
    read=parse_amount,
)  # fmt: skip
NO_PHOTOGRAPHS = PaperOption(
    name="no_photographs", flag="no-photographs", label="Leave the photographs out",
    summary="Leave the photographs out.", is_flag=True,
)  # fmt: skip
DESK_ADDRESS = PaperOption(
    name="desk_address", flag="address", label="Address of the desk",
    summary="Of the desk: the symbol then opens the box's page.",
)  # fmt: skip
STACKING = PaperOption(
    name="stacking_g", flag="stacking", label="The most that may stand on a box",
    summary="The most that may stand on a box, such as '60 kg'; adds the mark that says so.", read=parse_mass_g,
)  # fmt: skip
REGIME = PaperOption(
    name="regime", flag="regime", label="The rules that the contract names",
    summary="The rules that the contract names.",
    choices=tuple(REGIMES), choice_words=choice_words.REGIMES, required=True,
)  # fmt: skip
RATE = PaperOption(
    name="rate", flag="rate", label="One special drawing right, US dollar or pound in that currency",
    summary="One special drawing right (US dollar, pound) in that currency; else as recorded among the rates (XDR).",
    read=parse_amount,
)  # fmt: skip
RATE_ON = PaperOption(
    name="rate_on", flag="rate-day", label="Day of that rate", summary="The day of that rate.", read=parse_day
)
RATE_SOURCE = PaperOption(
    name="rate_source", flag="rate-source", label="Who published the rate", summary="Who published it."
)
PER_KG = PaperOption(
    name="per_kg", flag="amount-per-kg", label="Amount for a kilogram, as the contract says",
    summary="What the contract says, for per-kg.", read=parse_amount,
)  # fmt: skip
GOODS = PaperOption(
    name="goods", flag="goods", label="What moved: a household, or boxes sent as freight",
    summary="What moved: a household, or boxes sent as freight. Some rules apply to one of them only.",
    read=Goods, choices=tuple(goods.value for goods in Goods), choice_words=choice_words.GOODS,
)  # fmt: skip
PACKED_BY = PaperOption(
    name="packed_by", flag="packed-by", label="Who packed the boxes", summary="Who packed the boxes.",
    read=Packer, choices=tuple(packer.value for packer in Packer), choice_words=choice_words.PACKERS,
)  # fmt: skip
PACKAGES = PaperOption(
    name="packages", flag="packages", label="Packages that the transport document enumerates",
    summary="Packages that the bill of lading enumerates: 60, or 1 for '1 container said to contain books'.",
    read=count,
)  # fmt: skip
VOLUME = PaperOption(
    name="volume_m3", flag="volume", label="Cubic metres that the contract states",
    summary="Cubic metres of loading space that the contract states, for german-removal.", read=parse_amount,
)  # fmt: skip
CHARGES = PaperOption(
    name="charges", flag="charges", label="Charges of the carriage, with duties",
    summary="Charges of the carriage with customs duties; some rules refund them.", read=parse_amount,
)  # fmt: skip
HOLIDAYS = PaperOption(
    name="holidays", flag="holidays", label="Public holidays", read=days,
    summary="Public holidays that do not count, such as 2026-12-25,2026-12-26; none is known otherwise.",
)  # fmt: skip
AWAITED_LOST = PaperOption(
    name="awaited_lost", flag="awaited-lost", label="Count boxes that have not arrived as lost",
    summary="Count boxes that have not arrived as lost.", is_flag=True,
)  # fmt: skip
DELIVERED = PaperOption(
    name="delivered", flag="delivered", label="Day of delivery of boxes that have none recorded", read=parse_day,
    summary="Day of delivery of the boxes that arrived and have none recorded.",
)  # fmt: skip
DECLARED = PaperOption(
    name="declared", flag="declared", label="Value declared to the carrier",
    summary="Value declared to the carrier in the transport document.", read=parse_amount,
)  # fmt: skip
RELIEF = PaperOption(
    name="relief", flag="relief", label="Relief asked for", choices=tuple(relief.value for relief in Relief),
    choice_words=choice_words.RELIEFS,
    summary="Under which rule: eu, Regulation (EC) No 1186/2009; us, 19 CFR 148.52.", required=True,
)  # fmt: skip
LEFT_ON = PaperOption(
    name="left_on", flag="left", label="Day on which the old residence was given up", read=parse_day,
    summary="Day on which the old residence was given up.",
)  # fmt: skip
SETTLED_ON = PaperOption(
    name="settled_on", flag="settled", label="Day on which the new residence was taken up", read=parse_day,
    summary="Day on which the new residence was taken up; to the US, of arrival.",
)  # fmt: skip
ABROAD_SINCE = PaperOption(
    name="abroad_since", flag="abroad-since", label="Lived outside the customs territory since", read=parse_day,
    summary="Since when you lived outside the customs territory.",
)  # fmt: skip
ENTRY_ON = PaperOption(
    name="entry_on", flag="entry", label="Day on which customs accept the goods", read=parse_day,
    summary="Day on which customs accept the goods.",
)  # fmt: skip
SECONDS_TO_PLAN = PaperOption(
    name="seconds", flag="seconds", label="Seconds to plan", summary="Time for the whole plan.", read=seconds
)
SHELVED = PaperOption(
    name="shelved", flag="shelved", label="Pack what stands on shelves, too",
    summary="Pack what stands on shelves and was unpacked, too.", is_flag=True,
)  # fmt: skip
SPLIT_SETS = PaperOption(
    name="split_sets", flag="split-sets", label="Let the volumes of a set lie in different boxes",
    summary="Let the volumes of a set lie in different boxes.", is_flag=True,
)  # fmt: skip
