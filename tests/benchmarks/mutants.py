"""Small changes to Python source, one at a time: what `tests.benchmarks.mutation` plants to see whether a test notices.

A mutant changes one operator, comparison, constant, condition or returned value. Left alone is what no test of values
could notice: docstrings, annotations, decorators, the words of errors and of f-strings, `__repr__` and `__str__`, and
`strict=` of `zip`, and numbers below a thousandth, which only keep a divisor from nothing or a rounding error from
counting. Strings are not changed: their wording is asserted where it is made.
"""

import ast
from collections.abc import Iterator
from dataclasses import dataclass

BINARY: dict[type[ast.operator], tuple[str, str]] = {
    ast.Add: ("+", "-"),
    ast.Sub: ("-", "+"),
    ast.Mult: ("*", "/"),
    ast.Div: ("/", "*"),
    ast.FloorDiv: ("//", "/"),
    ast.Mod: ("%", "*"),
    ast.Pow: ("**", "*"),
    ast.BitOr: ("|", "&"),
    ast.BitAnd: ("&", "|"),
}
COMPARED: dict[type[ast.cmpop], tuple[str, tuple[str, ...]]] = {
    ast.Lt: ("<", ("<=", ">=")),
    ast.LtE: ("<=", ("<", ">")),
    ast.Gt: (">", (">=", "<=")),
    ast.GtE: (">=", (">", "<")),
    ast.Eq: ("==", ("!=",)),
    ast.NotEq: ("!=", ("==",)),
    ast.Is: ("is", ("is not",)),
    ast.IsNot: ("is not", ("is",)),
    ast.In: ("in", ("not in",)),
    ast.NotIn: ("not in", ("in",)),
}
CALLED = {"min": "max", "max": "min", "any": "all", "all": "any", "ceil": "floor", "floor": "ceil"}
UNSEEN = {"__repr__", "__str__"}
LEAST = 1e-3


@dataclass(frozen=True, slots=True)
class Mutant:
    """One change: bytes `start` to `end` of the source, on line `line`, become `text`."""

    start: int
    end: int
    line: int
    text: str

    def applied(self, source: bytes) -> bytes:
        """Return the source with the change."""
        return source[: self.start] + self.text.encode() + source[self.end :]

    def difference(self, source: bytes) -> str:
        """Return the changed lines, as they were and as they are, in the form of a diff."""
        first = source.rfind(b"\n", 0, self.start) + 1
        last = source.find(b"\n", self.end)
        old = source[first:last].decode()
        new = source[first : self.start].decode() + self.text + source[self.end : last].decode()
        return "\n".join([*(f"- {line}" for line in old.splitlines()), *(f"+ {line}" for line in new.splitlines())])


def mutants(source: bytes) -> list[Mutant]:
    """Return every mutant of a module, in the order of its text.

    >>> [one.applied(b"x = 1 < y").decode() for one in mutants(b"x = 1 < y")]
    ['x = 2 < y', 'x = 1 <= y', 'x = 1 >= y']
    """
    finder = _Finder(source)
    finder.visit(ast.parse(source))
    return sorted(set(finder.found), key=lambda one: (one.line, one.start, one.end, one.text))


class _Finder(ast.NodeVisitor):
    """Walks a module and notes what may be changed."""

    def __init__(self, source: bytes) -> None:
        self.source = source
        self.found: list[Mutant] = []
        self._lines = [0]
        for line in source.splitlines(keepends=True):
            self._lines.append(self._lines[-1] + len(line))
        self._returns_bool = False

    def _span(self, node: ast.expr) -> tuple[int, int]:
        assert node.end_lineno is not None
        assert node.end_col_offset is not None
        start = self._lines[node.lineno - 1] + node.col_offset
        return start, self._lines[node.end_lineno - 1] + node.end_col_offset

    def _text(self, node: ast.expr) -> str:
        start, end = self._span(node)
        return self.source[start:end].decode()

    def _replace(self, node: ast.expr, text: str) -> None:
        start, end = self._span(node)
        self.found.append(Mutant(start, end, node.lineno, text))

    def _swap(self, left: ast.expr, right: ast.expr, old: str, new: str) -> None:
        """Change the operator that stands between two expressions."""
        start, end = self._span(left)[1], self._span(right)[0]
        at = self.source.find(old.encode(), start, end)
        if at >= 0:
            line = self.source.count(b"\n", 0, at) + 1
            self.found.append(Mutant(at, at + len(old), line, new))

    def visit_FunctionDef(self, node: ast.FunctionDef) -> None:
        if node.name in UNSEEN:
            return
        outer, self._returns_bool = self._returns_bool, isinstance(node.returns, ast.Name) and node.returns.id == "bool"
        for part in (*node.args.defaults, *(one for one in node.args.kw_defaults if one), *node.body):
            self.visit(part)
        self._returns_bool = outer

    def visit_ClassDef(self, node: ast.ClassDef) -> None:
        for part in node.body:
            self.visit(part)

    def visit_Assign(self, node: ast.Assign) -> None:
        if not _union(node.value):
            self.visit(node.value)

    def visit_AnnAssign(self, node: ast.AnnAssign) -> None:
        if node.value is not None:
            self.visit(node.value)

    def visit_Raise(self, node: ast.Raise) -> None:
        """Leave the words of an error alone."""

    def visit_JoinedStr(self, node: ast.JoinedStr) -> None:
        """Leave wording alone."""

    def visit_keyword(self, node: ast.keyword) -> None:
        if node.arg != "strict":
            self.visit(node.value)

    def visit_Return(self, node: ast.Return) -> None:
        if node.value is None or (isinstance(node.value, ast.Constant) and node.value.value in (None, True, False)):
            self.generic_visit(node)
            return
        self._replace(node.value, f"not ({self._text(node.value)})" if self._returns_bool else "None")
        self.visit(node.value)

    def visit_If(self, node: ast.If) -> None:
        self._negate(node.test)
        self.generic_visit(node)

    def visit_IfExp(self, node: ast.IfExp) -> None:
        self._negate(node.test)
        self.generic_visit(node)

    def visit_While(self, node: ast.While) -> None:
        self._negate(node.test)
        self.generic_visit(node)

    def visit_comprehension(self, node: ast.comprehension) -> None:
        for test in node.ifs:
            self._negate(test)
        self.generic_visit(node)

    def _negate(self, test: ast.expr) -> None:
        """Turn a condition round that no other change turns round."""
        if isinstance(test, ast.Name | ast.Attribute | ast.Call | ast.Subscript):
            self._replace(test, f"not {self._text(test)}")

    def visit_BinOp(self, node: ast.BinOp) -> None:
        if type(node.op) in BINARY:
            self._swap(node.left, node.right, *BINARY[type(node.op)])
        self.generic_visit(node)

    def visit_BoolOp(self, node: ast.BoolOp) -> None:
        old, new = ("and", "or") if isinstance(node.op, ast.And) else ("or", "and")
        for left, right in zip(node.values, node.values[1:], strict=False):
            self._swap(left, right, old, new)
        self.generic_visit(node)

    def visit_Compare(self, node: ast.Compare) -> None:
        parts = [node.left, *node.comparators]
        for at, operator in enumerate(node.ops):
            old, others = COMPARED[type(operator)]
            for new in others:
                self._swap(parts[at], parts[at + 1], old, new)
        self.generic_visit(node)

    def visit_UnaryOp(self, node: ast.UnaryOp) -> None:
        if isinstance(node.op, ast.Not | ast.USub):
            self._replace(node, f"({self._text(node.operand)})")
        self.generic_visit(node)

    def visit_Call(self, node: ast.Call) -> None:
        name = node.func.id if isinstance(node.func, ast.Name) else ""
        name = node.func.attr if isinstance(node.func, ast.Attribute) else name
        if name in CALLED:
            self._replace(node.func, self._text(node.func).removesuffix(name) + CALLED[name])
        self.generic_visit(node)

    def visit_Constant(self, node: ast.Constant) -> None:
        for text in _other(node.value):
            self._replace(node, text)


def _union(value: ast.expr) -> bool:
    """Tell whether an expression can only be a union of types: an annotation that was given a name."""
    if isinstance(value, ast.BinOp) and isinstance(value.op, ast.BitOr):
        return all(_union(side) or isinstance(side, ast.Name) for side in (value.left, value.right))
    return False


def _other(value: object) -> Iterator[str]:
    if isinstance(value, bool):
        yield repr(not value)
    elif isinstance(value, int):
        yield repr(value + 1)
    elif isinstance(value, float) and not 0 < abs(value) < LEAST:
        yield repr(1.5 * value or 1.0)
