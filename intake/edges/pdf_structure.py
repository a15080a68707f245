"""What a PDF file says of its own parts, for those who have it read aloud (ISO 32000-1, 14.6 to 14.8, "tagged PDF").

Each text of a page is marked content with a number; the tree of the document names the numbers in the order of reading.
What is not in the tree (rules, frames, repeated heads, page numbers) is marked as an artifact. Pictures and symbols are
figures with a text in their place. Glyphs stand in the order of the paper; where that is from right to left, the part
tells its words as well (14.9.4, ActualText). That a file conforms to PDF/UA is not claimed: nothing here checks all of
it.
"""

import re
from collections.abc import Iterator

from intake.edges.fonts import CONTROLS, RIGHT_TO_LEFT
from intake.edges.pdf_writer import Name, PdfWriter, Ref, Value
from intake.model.pages import ElementKind, StructureElement

ARTIFACT = "/Artifact BMC"
END = "EMC"
Box = tuple[float, float, float, float]
"""Left, bottom, right and top of a figure, in points."""


UNSPACED = re.compile("[\u0e00-\u0eff\u1000-\u109f\u1780-\u17ff\u2e80-\u9fff\uf900-\ufaff\uff01-\uff60]")
"""Scripts without spaces between words, which a line may end within."""


def needs_space(line: str, following: str) -> bool:
    """Return whether a space stands between two lines of a text: not after a hyphen within a word, nor in Thai.

    >>> needs_space("Old", "Charts"), needs_space("Land-", "Atlas"), needs_space("古い", "画集")
    (True, False, False)
    """
    if UNSPACED.match(line[-1:]) and UNSPACED.match(following[:1]):
        return False
    return not (line.endswith("-") and line[-2:-1].isalpha() and following[:1].isalpha())


def printable(text: str) -> str:
    """Return a text without halves of characters, which no file can hold."""
    return text.encode("utf-16", "replace").decode("utf-16")


class _Node:
    """An element in a file: its object, what it is within, what it holds so far, its words, and what else is said.

    Its page is the one that its first text is on.
    """

    __slots__ = ("above", "element", "kids", "kind", "page", "place", "said", "words")

    def __init__(self, place: Ref, kind: str, above: Ref, element: StructureElement | None) -> None:
        self.place = place
        self.element = element
        self.kind = kind
        self.above = above
        self.page: int | None = None
        self.said: dict[str, Value] | None = None
        self.words = ""
        self.kids: list[_Node | Ref | tuple[int, int]] = []


class DocumentTree:
    """The tree of one file, made while its pages are drawn one after the other.

    A figure is written at once, and a row of a table when the next begins, for nothing is added to it then.
    """

    def __init__(self, file: PdfWriter) -> None:
        self.file = file
        self.place = file.reserve()
        self.pages: list[Ref] = []
        self.texts: list[Ref] = []
        self.numbers: list[Value] = []
        self.nodes: dict[StructureElement, _Node] = {}
        self.root = self._new("Document", None)
        self._heading = file.write({"O": Name("Table"), "Scope": Name("Column")})
        self._element: StructureElement | None = None
        self._told = False
        self._open: _Node | str | None = None

    def begin_page(self, page: Ref) -> None:
        """Begin a page, on which nothing is told of its first texts; its number in the tree is its number here."""
        self.pages.append(page)
        self.texts = []
        self._told, self._element = False, None

    def turn_to(self, element: StructureElement | None) -> None:
        """Count the texts that follow to a part of the document, or to none."""
        self._told, self._element = True, element
        if element is not None:
            self._node(element)

    def text(self) -> Iterator[str]:
        """Yield what stands before a text."""
        if not self._told:
            yield from self._begin(self._new("P", self.root))
        elif self._element is None:
            yield from self.decoration()
        elif self._open is not self.nodes[self._element]:
            yield from self._begin(self.nodes[self._element])

    def goes_on(self, line: str) -> bool:
        """Note a line of the part that is open; return whether a space stands between it and the line before."""
        if not isinstance(self._open, _Node):
            return False
        before = self._open.words
        spaced = before != "" and needs_space(before, line)
        self._open.words = f"{before} {line}" if spaced else before + line
        return spaced

    def decoration(self) -> Iterator[str]:
        """Yield what stands before a rule or a frame."""
        if self._open is not ARTIFACT:
            yield from self._end()
            self._open = ARTIFACT
            yield ARTIFACT

    def figure(self, alt: str, box: Box) -> Iterator[str]:
        """Yield what stands before a picture or a symbol; one without a text in its place is decoration."""
        if not alt:
            yield from self.decoration()
            return
        node = self._new("Figure", self.root)
        sides = [round(side, 2) for side in box]
        layout: dict[str, Value] = {"O": Name("Layout"), "BBox": sides, "Placement": Name("Block")}
        node.said = {"Alt": printable(alt), "A": layout}
        yield from self._begin(node)
        self.root.kids[-1] = self._written(node)

    def end_page(self) -> Iterator[str]:
        """Yield what stands at the end of a page, whose contents lead to their parts from now on (14.7.4.4)."""
        yield from self._end()
        self.numbers += (len(self.pages) - 1, self.file.write(self.texts))

    def embed(self) -> None:
        """Write what is left of the tree into the file."""
        tree: dict[str, Value] = {
            "Type": Name("StructTreeRoot"),
            "K": self._written(self.root),
            "ParentTree": self.file.write({"Nums": self.numbers}),
            "ParentTreeNextKey": len(self.pages),
        }
        self.file.write(tree, self.place)

    def _written(self, node: _Node) -> Ref:
        """Write an element with all that it holds, and forget it."""
        entries: dict[str, Value] = {"S": Name(node.kind), "P": node.above, **(node.said or {})}
        if node.page is not None:
            entries["Pg"] = self.pages[node.page]
        if RIGHT_TO_LEFT.search(node.words):
            entries["ActualText"] = printable(CONTROLS.sub("", node.words))
        kids = [self._kid(node, kid) for kid in node.kids]
        if kids:
            entries["K"] = kids[0] if len(kids) == 1 else kids
        if node.element is not None:
            del self.nodes[node.element]
        return self.file.write(entries, node.place)

    def _kid(self, node: _Node, kid: "_Node | Ref | tuple[int, int]") -> Value:
        if isinstance(kid, _Node):
            return self._written(kid)
        if isinstance(kid, Ref):
            return kid
        page, number = kid
        if page == node.page:
            return number
        return {"Type": Name("MCR"), "Pg": self.pages[page], "MCID": number}

    def _node(self, element: StructureElement) -> _Node:
        """Return an element of the file, made when it is first read."""
        if element not in self.nodes:
            above = self.root if element.within is None else self._node(element.within)
            before = above.kids[-1] if above.kids else None
            if element.kind is ElementKind.ROW and isinstance(before, _Node):
                above.kids[-1] = self._written(before)
            node = self._new(element.kind.value, above, element)
            if element.kind is ElementKind.HEAD_CELL:
                node.said = {"A": self._heading}
            self.nodes[element] = node
        return self.nodes[element]

    def _new(self, kind: str, above: _Node | None, element: StructureElement | None = None) -> _Node:
        node = _Node(self.file.reserve(), kind, self.place if above is None else above.place, element)
        if above is not None:
            above.kids.append(node)
        return node

    def _begin(self, node: _Node) -> Iterator[str]:
        yield from self._end()
        page = len(self.pages) - 1
        number = len(self.texts)
        self.texts.append(node.place)
        node.kids.append((page, number))
        node.page = page if node.page is None else node.page
        self._open = node
        yield f"/{node.kind} <</MCID {number}>> BDC"

    def _end(self) -> Iterator[str]:
        if self._open is not None:
            self._open = None
            yield END
