"""Where the desk meets the edges and the steps (clock, random numbers, network, keys, symbols); nothing else here does.

`intake.desk.run.open_desk` puts them together.
"""

from intake.documents.symbol_drawing import encode
from intake.edges import certificates, clock, desk_folder, network, random_tokens, settings
from intake.edges.store import library, reader
from intake.edges.store.engines import faults
from intake.model.papers import SymbolKind
from intake.reading import decoders

Library = library.Library
LibraryReader = reader.LibraryReader
Decoder = decoders.Decoder
Certificates = certificates.Certificates

THIS_MACHINE = network.THIS_MACHINE
house_address = network.house_address
host_names = network.host_names
listen = network.listen
default_folder = desk_folder.default_folder
read_private = desk_folder.read_private
write_private = desk_folder.write_private
prepare_certificates = certificates.prepare
server_context = certificates.server_context
random_code = random_tokens.code
random_token = random_tokens.token
now = clock.now
steady_s = clock.steady_s
today = clock.today
writer_words = faults.writer_words
lookup_urls = settings.lookup_urls
lookup_cache = settings.lookup_cache


def qr_rows(text: str) -> tuple[str, ...]:
    """Return the modules of the QR symbol of a text, row by row: "1" is dark."""
    return encode(SymbolKind.QR, text).rows
