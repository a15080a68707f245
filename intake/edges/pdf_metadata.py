"""What a PDF file says of itself as XMP (ISO 16684-1): title, author, language, when it was made, and its proof."""

import re
from datetime import datetime
from xml.sax.saxutils import escape

PACKET = """<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/">
 <rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
 <rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:xmp="http://ns.adobe.com/xap/1.0/">\
{facts}</rdf:Description>
 </rdf:RDF>
</x:xmpmeta>
<?xpacket end="r"?>
"""
BARRED = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
"""Characters that no XML file may have (XML 1.0, 2.2)."""


def xmp_packet(*, title: str, author: str, subject: str, creator: str, language: str, made: datetime) -> str:
    """Return the metadata of a file; without author or subject it says nothing of them."""
    facts = [
        ("dc:title", "Alt", title),
        ("dc:language", "Bag", language),
        ("dc:creator", "Seq", author),
        ("dc:description", "Alt", subject),
    ]
    lists = [_list(*fact) for fact in facts if fact[2]]
    moment = made.isoformat(timespec="seconds")
    single = f"<xmp:CreatorTool>{creator}</xmp:CreatorTool><xmp:CreateDate>{moment}</xmp:CreateDate>"
    return PACKET.format(facts="".join(lists) + single)


def _list(name: str, kind: str, text: str) -> str:
    tag = ' xml:lang="x-default"' if kind == "Alt" else ""
    return f"<{name}><rdf:{kind}><rdf:li{tag}>{escape(BARRED.sub('', text))}</rdf:li></rdf:{kind}></{name}>"
