"""What the choices of options are called in a form, where the word that the command line takes says too little."""

from collections.abc import Mapping

from intake.carriage.household import Relief
from intake.model.carriage import Goods, Packer

REGIMES: Mapping[str, str] = {
    "released-value": "Released value: household goods, United States",
    "full-value": "Full value: household goods, United States",
    "german-removal": "German removals: HGB, section 451",
    "cmr": "CMR, 1956: by road between countries",
    "hague-visby": "Hague-Visby Rules, with the protocol of 1979: by sea",
    "hague-1924": "Hague Rules of 1924, without later protocols: by sea",
    "us-cogsa": "COGSA: by sea, United States",
    "montreal": "Montreal Convention, 1999: by air between countries",
    "per-kg": "Amount per kilogram that the contract states",
    "rotterdam": "Rotterdam Rules, 2008: wholly or partly by sea",
}
GOODS: Mapping[str, str] = {Goods.HOUSEHOLD: "a household", Goods.FREIGHT: "boxes sent as freight"}
PACKERS: Mapping[str, str] = {Packer.OWNER: "the owner of the books", Packer.CARRIER: "the carrier"}
RELIEFS: Mapping[str, str] = {
    Relief.EU: "European Union: Regulation (EC) No 1186/2009",
    Relief.US: "United States: 19 CFR 148.52",
}
LANGUAGES: Mapping[str, str] = {"en": "English", "de": "Deutsch"}
