"""ONIX for Books: one product in both kinds of tags, a published record's measures, the core of 2.1, and hurtful XML.

Codes are those of EDItEUR's lists; which of them were seen in copies is said where they are kept. All books are
invented, but for the measures of the one record that is named.
"""

import re
from pathlib import Path

import pytest

from intake.edges.exchange.onix_read import looks_like_onix, read_onix
from intake.edges.exchange.onix_write import product_bytes
from intake.edges.exchange.outgoing import OutgoingEdition
from intake.edges.exchange.record_remarks import RecordFault, RecordProblem, RemarkKind, Remarks
from intake.flow.lists.remark_words import remark_lines
from intake.model.editions import Edition
from tests.edges.exchange.marc_data import places

REFERENCE = """<Product><RecordReference>x.1</RecordReference><NotificationType>03</NotificationType>
 <ProductIdentifier><ProductIDType>15</ProductIDType><IDValue>9780306406157</IDValue></ProductIdentifier>
 <DescriptiveDetail><ProductComposition>00</ProductComposition><ProductForm>BB</ProductForm>
  <Measure><MeasureType>08</MeasureType><Measurement>1500</Measurement><MeasureUnitCode>gr</MeasureUnitCode></Measure>
  <TitleDetail><TitleType>01</TitleType><TitleElement><TitleElementLevel>01</TitleElementLevel><TitleText>Salt</TitleText></TitleElement></TitleDetail>
  <Extent><ExtentType>00</ExtentType><ExtentValue>320</ExtentValue><ExtentUnit>03</ExtentUnit></Extent></DescriptiveDetail></Product>"""
SHORT = """<product><a001>x.1</a001><a002>03</a002>
 <productidentifier><b221>15</b221><b244>9780306406157</b244></productidentifier>
 <descriptivedetail><x314>00</x314><b012>BB</b012><measure><x315>08</x315><c094>1500</c094><c095>gr</c095></measure>
  <titledetail><b202>01</b202><titleelement><x409>01</x409><b203>Salt</b203></titleelement></titledetail>
  <extent><b218>00</b218><b219>320</b219><b220>03</b220></extent></descriptivedetail></product>"""
NAMESPACES = {
    "ONIXMessage": "http://ns.editeur.org/onix/3.0/reference",
    "ONIXmessage": "http://ns.editeur.org/onix/3.0/short",
}


def message(*products: str, root: str = "ONIXMessage", dtd: str = "") -> bytes:
    inside = "".join(products)
    return f'<?xml version="1.0"?>{dtd}<{root} release="3.0" xmlns="{NAMESPACES[root]}">{inside}</{root}>'.encode()


def read(folder: Path, data: bytes, remarks: Remarks | None = None) -> list[dict[str, str] | RecordFault]:
    (folder / "a.xml").write_bytes(data)
    return list(read_onix(folder / "a.xml", remarks or Remarks()))


def cells(folder: Path, described: str, remarks: Remarks | None = None) -> dict[str, str]:
    product = (
        f"<Product><NotificationType>03</NotificationType><DescriptiveDetail>{described}</DescriptiveDetail></Product>"
    )
    (found,) = read(folder, message(product), remarks)
    assert not isinstance(found, RecordFault)
    return found


def measure(kind: str, number: str, unit: str) -> str:
    return (
        f"<Measure><MeasureType>{kind}</MeasureType><Measurement>{number}</Measurement>"
        f"<MeasureUnitCode>{unit}</MeasureUnitCode></Measure>"
    )


def title(level: str, inside: str) -> str:
    element = f"<TitleElement><TitleElementLevel>{level}</TitleElementLevel>{inside}</TitleElement>"
    return f"<TitleDetail><TitleType>01</TitleType>{element}</TitleDetail>"


def test_reference_names_and_short_tags_say_the_same(tmp_path: Path) -> None:
    expected = {"number": "9780306406157", "binding": "hardback", "pages": "320", "title": "Salt", "mass_g": "1500"}
    assert read(tmp_path, message(REFERENCE)) == [expected]
    assert read(tmp_path, message(SHORT, root="ONIXmessage")) == [expected]


def test_what_is_said_of_the_record_is_named_and_its_name_is_a_key_where_none_is(tmp_path: Path) -> None:
    remarks = Remarks()
    message_ = message(SHORT.replace("<x314>00", "<x314>10"), root="ONIXmessage")
    (found,) = read(tmp_path, message_, remarks)
    assert not isinstance(found, RecordFault)
    assert "key" not in found
    assert places(remarks, RemarkKind.TECHNICAL) == {"RecordReference", "NotificationType"}
    assert places(remarks, RemarkKind.LEFT_OUT) == {"ProductComposition"}
    remarks = Remarks()
    (found,) = read(tmp_path, message(SHORT.replace("9780306406157", ""), root="ONIXmessage"), remarks)
    assert not isinstance(found, RecordFault)
    assert found["key"] == "x.1"
    assert places(remarks, RemarkKind.TECHNICAL) == {"NotificationType"}


def test_short_tags_are_named_as_the_reference_names_them(tmp_path: Path) -> None:
    remarks = Remarks()
    supplied = "<supplydetail><supplier><j292>01</j292></supplier><j396>20</j396></supplydetail>"
    inside = f"<product><a001>x.2</a001><productsupply>{supplied}</productsupply></product>"
    read(tmp_path, message(inside, root="ONIXmessage"), remarks)
    assert places(remarks, RemarkKind.LEFT_OUT) == {"Supplier", "ProductAvailability"}
    assert any(line.startswith("ProductAvailability (j396) ") for line in remark_lines(remarks))


def test_inches_and_pounds_of_a_published_record(tmp_path: Path) -> None:
    """The measures of ISBN 9780545791328 (seen in a copy): 10.60 x 8.80 x 1.40 in, 3.5000 lb; metric computed."""
    remarks = Remarks()
    stated = [measure("01", "10.60", "in"), measure("02", "8.80", "in"), measure("03", "1.40", "in")]
    found = cells(tmp_path, "".join([*stated, measure("08", "3.5000", "lb")]), remarks)
    assert found == {"height_mm": "269.24", "width_mm": "223.52", "thickness_mm": "35.56", "mass_g": "1587.6"}
    assert places(remarks, RemarkKind.CONVERTED) == {"Measure 01", "Measure 02", "Measure 03", "Measure 08"}


def test_of_two_statements_the_metric_one_is_taken_where_they_agree(tmp_path: Path) -> None:
    """706 gr and 24.9034 oz (seen in a copy of a record) agree."""
    assert cells(tmp_path, measure("08", "24.9034", "oz") + measure("08", "706", "gr")) == {"mass_g": "706"}
    remarks = Remarks()
    assert cells(tmp_path, measure("08", "706", "gr") + measure("08", "2.49", "oz"), remarks) == {}
    assert places(remarks, RemarkKind.DOUBTED) == {"Measure 08"}
    assert cells(tmp_path, measure("08", "706", "gr") + measure("08", "1706", "gr")) == {}


def test_a_default_is_not_a_measurement(tmp_path: Path) -> None:
    """Thickness 0.00 with a mass of 1.0000 lb was seen in a copy of a record."""
    remarks = Remarks()
    stated = measure("01", "9.00", "in") + measure("03", "0.00", "in") + measure("08", "1.0000", "lb")
    assert cells(tmp_path, stated, remarks) == {"height_mm": "228.6"}
    assert places(remarks, RemarkKind.DOUBTED) == {"Measure 03", "Measure 08"}


@pytest.mark.parametrize(("number", "unit"), [("-3", "mm"), ("NaN", "mm"), ("3", "px"), ("", "mm"), ("1e999999", "gr")])
def test_what_is_no_measure_is_named(tmp_path: Path, number: str, unit: str) -> None:
    remarks = Remarks()
    assert cells(tmp_path, measure("01", number, unit), remarks) == {}
    assert places(remarks, RemarkKind.LEFT_OUT) == {"Measure 01"}


@pytest.mark.parametrize(
    ("inside", "expected"),
    [
        ("<TitlePrefix>The</TitlePrefix><TitleWithoutPrefix>Salt</TitleWithoutPrefix>", "The Salt"),
        ("<TitlePrefix>L’</TitlePrefix><TitleWithoutPrefix>Eau</TitleWithoutPrefix>", "L’Eau"),
        ("<NoPrefix/><TitleWithoutPrefix>Salt</TitleWithoutPrefix><Subtitle>a story</Subtitle>", "Salt: a story"),
        ("<TitleText>Salt <i>and</i>\n  light</TitleText>", "Salt and light"),
        ("<TitleText>Caf&#233;</TitleText>", "Café"),
    ],
)
def test_titles(tmp_path: Path, inside: str, expected: str) -> None:
    assert cells(tmp_path, title("01", inside))["title"] == expected


@pytest.mark.parametrize(
    ("collection", "expected"),
    [
        ("<CollectionType>10</CollectionType>" + title("02", "<PartNumber>2</PartNumber><TitleText>Seas</TitleText>"),
         ("Seas", "2")),
        ("<CollectionType>10</CollectionType><CollectionSequence><CollectionSequenceNumber>3</CollectionSequenceNumber>"
         "</CollectionSequence>" + title("02", "<TitleText>Seas</TitleText>"), ("Seas", "3")),
        ("<CollectionType>10</CollectionType>" + title("02", "<TitleText>Pocket books</TitleText>"), ("", "")),
        ("<CollectionType>20</CollectionType>" + title("02", "<TitleText>Seas</TitleText>"), ("Seas", "")),
    ],
)  # fmt: skip
def test_a_collection_is_a_set_where_it_is_numbered(tmp_path: Path, collection: str, expected: tuple[str, str]) -> None:
    found = cells(tmp_path, f"<Collection>{collection}</Collection>{title('01', '<TitleText>Salt</TitleText>')}")
    assert (found.get("set", ""), found.get("volume", "")) == expected


def test_people_stand_in_the_sender_s_order_whatever_their_form(tmp_path: Path) -> None:
    remarks = Remarks()
    people = (
        "<Contributor><SequenceNumber>2</SequenceNumber><ContributorRole>A12</ContributorRole>"
        "<NamesBeforeKey>Petra</NamesBeforeKey><KeyNames>Oulde</KeyNames></Contributor>"
        "<Contributor><SequenceNumber>1</SequenceNumber><ContributorRole>A01</ContributorRole>"
        "<PersonName>Ansgar Wickenlow</PersonName></Contributor>"
        "<Contributor><ContributorRole>A01</ContributorRole>"
        "<CorporateName>Larkmoss Society</CorporateName></Contributor>"
    )
    assert cells(tmp_path, people, remarks)["contributors"] == "Ansgar Wickenlow; Petra Oulde; Larkmoss Society"
    assert places(remarks, RemarkKind.LEFT_OUT) == {"ContributorRole A12"}


def test_what_has_no_field_is_named(tmp_path: Path) -> None:
    remarks = Remarks()
    product = REFERENCE.replace(
        "</DescriptiveDetail>",
        "<NumberOfIllustrations>12</NumberOfIllustrations></DescriptiveDetail><CollateralDetail><TextContent><Text>A"
        " story</Text></TextContent></CollateralDetail><ProductSupply><Price>12.00</Price></ProductSupply>",
    )
    read(tmp_path, message(product), remarks)
    assert places(remarks, RemarkKind.LEFT_OUT) == {"NumberOfIllustrations", "CollateralDetail", "Price"}


def test_a_notice_of_deletion_makes_no_edition(tmp_path: Path) -> None:
    gone = REFERENCE.replace("<NotificationType>03", "<NotificationType>05")
    found = read(tmp_path, message(gone, REFERENCE))
    assert isinstance(found[0], RecordFault)
    assert (found[0].problem, found[0].line) == (RecordProblem.DELETED, 1)
    assert isinstance(found[1], dict)


OLD = """<?xml version="1.0"?>
<!DOCTYPE ONIXMessage SYSTEM "http://www.editeur.org/onix/2.1/reference/onix-international.dtd">
<ONIXMessage><Product><RecordReference>1</RecordReference><NotificationType>03</NotificationType>
<ProductIdentifier><ProductIDType>02</ProductIDType><IDValue>0306406152</IDValue></ProductIdentifier>
<ProductForm>BC</ProductForm><Series><TitleOfSeries>Seas</TitleOfSeries><NumberWithinSeries>4</NumberWithinSeries></Series>
<Title><TitleType>01</TitleType><TitlePrefix>Les</TitlePrefix><TitleWithoutPrefix>oiseaux du caf&eacute; <em>bleu</em>
</TitleWithoutPrefix></Title><EditionNumber>2</EditionNumber>
<Contributor><ContributorRole>A01</ContributorRole><PersonNameInverted>Wickenlow, Ansgar</PersonNameInverted>
</Contributor><Language><LanguageRole>01</LanguageRole><LanguageCode>fre</LanguageCode></Language><NumberOfPages>320</NumberOfPages>
<Publisher><PublishingRole>01</PublishingRole><PublisherName>Larkmoss &amp; Fils</PublisherName></Publisher>
<PublicationDate>19980401</PublicationDate>
<Measure><MeasureTypeCode>01</MeasureTypeCode><Measurement>24</Measurement><MeasureUnitCode>cm</MeasureUnitCode></Measure>
</Product></ONIXMessage>"""


def test_the_core_of_2_1_with_the_named_entities_of_its_dtd(tmp_path: Path) -> None:
    """The DTD is not fetched: that of HTML has the same names."""
    assert read(tmp_path, OLD.encode()) == [
        {
            "number": "0306406152", "binding": "paperback", "set": "Seas", "volume": "4",
            "title": "Les oiseaux du café bleu", "edition": "edition 2", "contributors": "Wickenlow, Ansgar",
            "language": "fre", "pages": "320", "publisher": "Larkmoss & Fils", "year": "1998", "height_mm": "240",
        }
    ]  # fmt: skip


def test_an_entity_that_the_file_itself_explains_loses_that_product_alone(tmp_path: Path) -> None:
    dtd = '<!DOCTYPE ONIXMessage [<!ENTITY own "expanded"><!ENTITY file SYSTEM "file:///etc/hostname">]>'
    bad = REFERENCE.replace("Salt", "Salt &own;"), REFERENCE.replace("Salt", "&file;")
    unused = REFERENCE.replace("</DescriptiveDetail>", "</DescriptiveDetail><ProductSupply>&own;</ProductSupply>")
    found = read(tmp_path, message(*bad, unused, dtd=dtd))
    assert [one.problem if isinstance(one, RecordFault) else one["title"] for one in found] == [
        RecordProblem.UNKNOWN_ENTITY,
        RecordProblem.UNKNOWN_ENTITY,
        "Salt",
    ]


def test_a_message_that_breaks_off_invents_nothing(tmp_path: Path) -> None:
    whole = message(REFERENCE, REFERENCE)
    found = read(tmp_path, whole[: whole.rindex(b"<Extent>")])
    assert isinstance(found[0], dict)
    assert isinstance(found[1], RecordFault)
    assert (len(found), found[1].problem, found[1].line) == (2, RecordProblem.BROKEN_XML, 2)


@pytest.mark.parametrize(
    ("start", "is_onix"),
    [
        (message(), True),
        (message(root="ONIXmessage"), True),
        (OLD.encode(), True),
        (OLD.encode("utf-16"), True),
        (b"<html>ONIXMessage</html>", False),
        (b"key,title", False),
    ],
)
def test_a_message_is_told_by_how_it_begins(start: bytes, is_onix: bool) -> None:
    assert looks_like_onix(start) is is_onix


def test_one_price_is_taken_and_the_others_are_named(tmp_path: Path) -> None:
    """Codes of list 58 and short tags from memory."""
    given = ("01", "24.00", "EUR"), ("02", "25.68", "EUR"), ("02", "29.95", "USD"), ("05", "12.00", "EUR")
    prices = "".join(f"<price><x462>{k}</x462><j151>{a}</j151><j152>{c}</j152></price>" for k, a, c in given)
    supply = f"<productsupply><supplydetail>{prices}</supplydetail></productsupply></product>"
    remarks = Remarks()
    product = SHORT.replace("</product>", supply)
    (found,) = read(tmp_path, message(product, root="ONIXmessage"), remarks)
    assert not isinstance(found, RecordFault)
    assert (found["price"], found["currency"]) == ("25.68", "EUR")
    assert places(remarks, RemarkKind.LEFT_OUT) == {"Price 01", "Price 02", "Price 05"}


def test_a_price_without_a_currency_is_none(tmp_path: Path) -> None:
    remarks = Remarks()
    supply = (
        "<SupplyDetail><Price><PriceTypeCode>02</PriceTypeCode><PriceAmount>9.90</PriceAmount></Price></SupplyDetail>"
    )
    (found,) = read(tmp_path, message(f"<Product><ISBN>0306406152</ISBN>{supply}</Product>"), remarks)
    assert not isinstance(found, RecordFault)
    assert "price" not in found
    assert places(remarks, RemarkKind.LEFT_OUT) == {"Price 02"}


@pytest.mark.parametrize(
    ("language", "codes", "is_left_out"),
    [
        ("fin", ["fin"], False),
        ("deu; eng", ["ger", "eng"], False),
        ("suomi", [], True),
        ("ger; dt.", [], True),
        ("qqx", [], True),
        ("", [], False),
    ],
)
def test_only_a_code_is_written_as_the_code_of_a_language(language: str, codes: list[str], is_left_out: bool) -> None:
    """List 74 is ISO 639-2/B (from memory)."""
    remarks = Remarks()
    product = product_bytes(OutgoingEdition(Edition(id=1, title="Moss", language=language)), remarks).decode()
    assert re.findall("<LanguageCode>([^<]*)<", product) == codes
    assert [remark.where for remark in remarks if remark.kind is RemarkKind.LEFT_OUT] == ["language"] * is_left_out
