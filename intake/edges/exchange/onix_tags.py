"""Names of the elements of ONIX for Books: reference names by short tags, and which elements fill a cell.

Source: ONIX for Books Product Information Format, releases 3.0 and 2.1 (EDItEUR). Some short tags were seen in a copy
of the list of tags; the others are from memory.
"""

from collections.abc import Mapping

_SEEN_IN_A_COPY = (
    "a001 RecordReference, a002 NotificationType, b221 ProductIDType, b244 IDValue, x314 ProductComposition, "
    "b012 ProductForm, b333 ProductFormDetail, x315 MeasureType, c094 Measurement, c095 MeasureUnitCode, "
    "x316 CountryOfManufacture, b274 ProductClassificationType, b275 ProductClassificationCode, x329 CollectionType, "
    "x330 SourceName, x479 CollectionSequenceType, x481 CollectionSequenceNumber, b202 TitleType, "
    "x409 TitleElementLevel, x410 PartNumber, b020 YearOfAnnual, b203 TitleText, b030 TitlePrefix, "
    "b031 TitleWithoutPrefix, b029 Subtitle, b034 SequenceNumber, b035 ContributorRole, b036 PersonName, "
    "b037 PersonNameInverted, b039 NamesBeforeKey, b040 KeyNames, b047 CorporateName, x419 EditionType, "
    "b057 EditionNumber, b058 EditionStatement, b253 LanguageRole, b252 LanguageCode, b218 ExtentType, "
    "b219 ExtentValue, b220 ExtentUnit, b125 NumberOfIllustrations, b291 PublishingRole, b081 PublisherName, "
    "b306 Date"
)
_FROM_MEMORY = (
    "x462 PriceType, j151 PriceAmount, j152 CurrencyCode, "
    "x448 PublishingDateRole, x501 NoPrefix, b233 IDTypeName, b014 ProductFormDescription, b079 ImprintName, "
    "b067 SubjectSchemeIdentifier, b171 SubjectSchemeName, b069 SubjectCode, b070 SubjectHeadingText, "
    "j260 DateFormat, b004 ISBN, b005 EAN13, b028 DistinctiveTitle, b003 PublicationDate, b061 NumberOfPages, "
    "b059 LanguageOfText, b018 TitleOfSeries, b019 NumberWithinSeries, b023 TitleOfSet, b024 SetPartNumber, "
    "b026 ItemNumberWithinSet, c093 MeasureTypeCode, b083 CountryOfPublication, b209 CityOfPublication, "
    "b394 PublishingStatus, j148 PriceTypeCode, x480 CollectionSequenceTypeName, "
    "j396 ProductAvailability, j292 SupplierRole, j137 SupplierName, b395 PublishingStatusNote, b056 EditionTypeCode, "
    "n386 NoEdition, b049 ContributorStatement, b044 BiographicalNote, b062 IllustrationsNote, b073 AudienceCode, "
    "b204 AudienceCodeType, b206 AudienceCodeValue, b225 ProductPackaging, b384 TradeCategory, "
    "b385 ProductContentType, x416 PrimaryContentType, x425 MainSubject, b087 CopyrightYear, d104 Text, x426 TextType"
)
_COMPOSITES = (
    "ProductIdentifier DescriptiveDetail Measure ProductClassification Collection CollectionSequence TitleDetail "
    "TitleElement Contributor Language Extent Subject Imprint Publisher PublishingDetail PublishingDate "
    "CollateralDetail TextContent SupportingResource ProductSupply RelatedMaterial ContentDetail ProductionDetail "
    "Title Series Set SupplyDetail Price Header Sender Product OtherText MediaFile RelatedProduct "
    "Supplier SupplierIdentifier Market MarketPublishingDetail Territory SalesRights SalesRestriction Tax Stock "
    "Audience AudienceRange Complexity AncillaryContent ProductFormFeature ProductPart "
    "NameIdentifier ContributorDate PublisherIdentifier ImprintIdentifier CopyrightStatement Website Prize "
    "CitedContent TextItem RelatedWork Discount DiscountCoded PriceDate Reissue NewSupplier Barcode"
)


def _names(text: str) -> frozenset[str]:
    return frozenset(text.split())


REFERENCE_NAMES: Mapping[str, str] = {
    **dict(pair.split() for pair in f"{_SEEN_IN_A_COPY}, {_FROM_MEMORY}".split(", ")),
    **{name.casefold(): name for name in _names(_COMPOSITES)},
}
"""Reference name by short tag; the short tag of a composite is its name in small letters."""

SHORT_TAGS: Mapping[str, str] = {name: tag for tag, name in REFERENCE_NAMES.items() if tag != name.casefold()}
"""Short tag by reference name, where it is not the name in small letters."""

DESCRIBED = _names(
    "ProductComposition ProductForm ProductFormDescription Measure CountryOfManufacture ProductClassification "
    "Collection TitleDetail Contributor EditionNumber EditionStatement Language Extent Subject"
)
PUBLISHED = _names("Imprint Publisher PublishingDate")
PRODUCT = _names("RecordReference NotificationType ProductIdentifier DescriptiveDetail PublishingDetail ProductSupply")
PRODUCT_2_1 = (
    PRODUCT
    | DESCRIBED
    | PUBLISHED
    | _names(
        "ISBN EAN13 Title DistinctiveTitle Subtitle Series Set PublisherName PublicationDate NumberOfPages "
        "LanguageOfText SupplyDetail"
    )
)
"""The elements that fill a cell, by what they stand in; in release 2.1 all stand in the product itself."""

HARDBACK, PAPERBACK, BOOK = "BB", "BC", "BA"
FORMS: Mapping[str, str] = {
    "BB": "hardback",
    "BC": "paperback",
    "BD": "loose-leaf",
    "BE": "spiral bound",
    "BF": "pamphlet",
    "BG": "leather or fine binding",
    "BH": "board book",
}
"""Lists 150 and 7, codes of books: BB seen in a copy of a record, the others from memory."""

OWN_KEY, OWN_RECORD, SHELF_GROUP, CALL_NUMBER = "own key", "own record", "shelf group", "call number"
"""Names of the proprietary schemes of our own messages."""
