"""What the choices of options are called in a form, where the word that the command line takes says too little."""

from collections.abc import Mapping

from intake.carriage.household import Relief
from intake.model.carriage import Goods, Packer

REGIMES: Mapping[str, str] = {
    "released-value": "United States: household goods, at released value",
    "full-value": "United States: household goods, at full value",
    "german-removal": "Germany: a removal (HGB, section 451)",
    "cmr": "By road between countries: CMR, 1956",
    "hague-visby": "By sea: Hague-Visby Rules, with the protocol of 1979",
    "hague-1924": "By sea: Hague Rules of 1924, without later protocols",
    "us-cogsa": "By sea, United States: COGSA",
    "montreal": "By air between countries: Montreal Convention, 1999",
    "per-kg": "An amount per kilogram that the contract states",
    "rotterdam": "Partly or wholly by sea: Rotterdam Rules, 2008",
}
GOODS: Mapping[str, str] = {Goods.HOUSEHOLD: "a household", Goods.FREIGHT: "boxes sent as freight"}
PACKERS: Mapping[str, str] = {Packer.OWNER: "the owner of the books", Packer.CARRIER: "the carrier"}
RELIEFS: Mapping[str, str] = {
    Relief.EU: "European Union: Regulation (EC) No 1186/2009",
    Relief.US: "United States: 19 CFR 148.52",
}
LANGUAGES: Mapping[str, str] = {"en": "English", "de": "Deutsch"}
