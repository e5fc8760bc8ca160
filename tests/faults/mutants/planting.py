"""Finds what can be changed in a module and plants the chosen changes beside what stands there.

``a < b`` becomes ``(a <= b if is_changed(7) else a < b)``: the module is loaded once and any of its changes can be
switched on later. Only the bodies of functions are changed; texts, messages of errors, annotations and defaults stay.
"""

from __future__ import annotations

import ast
import copy
import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from pathlib import Path

CHANGED, SCALED = "__is_changed__", "__scaled__"
NAMED_FIGURE = re.compile(r"_?[A-Z][A-Z0-9_]+")

COMPARED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
}  # fmt: skip
COUNTED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.FloorDiv: ast.Div,
    ast.Mod: ast.Mult, ast.Pow: ast.Mult, ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd,
}  # fmt: skip
SIGNS = {
    "Lt": "<", "LtE": "<=", "Gt": ">", "GtE": ">=", "Eq": "==", "NotEq": "!=", "In": "in", "NotIn": "not in",
    "Is": "is", "IsNot": "is not", "Add": "+", "Sub": "-", "Mult": "*", "Div": "/", "FloorDiv": "//",
    "Mod": "%", "Pow": "**", "BitAnd": "&", "BitOr": "|", "And": "and", "Or": "or", "Not": "not", "USub": "-",
}  # fmt: skip
CALLED = {"min": "max", "max": "min", "any": "all", "all": "any", "ceil": "floor", "floor": "ceil"}


@dataclass(frozen=True)
class Change:
    """One change that can be planted, by its place and in words."""

    path: str
    place: int
    line: int
    words: str


def changes_of(path: Path, name: str, figures: Collection[str]) -> list[Change]:
    """List every change that can be planted into a file, in the order of its text."""
    planter = _Planter(figures, {})
    planter.visit(ast.parse(path.read_text("utf-8")))
    return [Change(name, place, line, words) for place, (line, words) in enumerate(planter.seen)]


def planted(source: str, figures: Collection[str], numbers: dict[int, int]) -> ast.Module:
    """The module with the changes at these places, each under its number."""
    tree = ast.parse(source)
    _Planter(figures, numbers).visit(tree)
    return ast.fix_missing_locations(tree)


def named_figures(paths: Collection[Path]) -> set[str]:
    """Names in capitals that modules give to a plain figure."""
    return {
        name
        for path in paths
        for statement in ast.parse(path.read_text("utf-8")).body
        for name in _named(statement)
        if NAMED_FIGURE.fullmatch(name)
    }


# Private


def _named(statement: ast.stmt) -> Iterator[str]:
    if isinstance(statement, ast.Assign) and _is_figure(statement.value):
        yield from (target.id for target in statement.targets if isinstance(target, ast.Name))
    elif isinstance(statement, ast.AnnAssign) and statement.value and _is_figure(statement.value):
        yield ast.unparse(statement.target)


def _is_figure(value: ast.expr) -> bool:
    if isinstance(value, ast.Constant):
        return isinstance(value.value, int | float) and not isinstance(value.value, bool)
    if isinstance(value, ast.UnaryOp):
        return _is_figure(value.operand)
    if isinstance(value, ast.BinOp):
        return _is_figure(value.left) and _is_figure(value.right)
    called = value.func if isinstance(value, ast.Call) else None
    return isinstance(called, ast.Name) and called.id in ("Decimal", "timedelta")


class _Planter(ast.NodeTransformer):
    """Visits in the order of the text, inner things first, so that places are the same in every run."""

    def __init__(self, figures: Collection[str], numbers: dict[int, int]) -> None:
        self.figures, self.numbers = figures, numbers
        self.seen: list[tuple[int, str]] = []
        self._depth = 0

    def visit_FunctionDef(self, node: ast.FunctionDef) -> ast.AST:
        self._depth += 1
        node.body = [
            self.visit(each) if k or not _is_text(each) else each for k, each in enumerate(node.body)
        ]
        self._depth -= 1
        return node

    def visit_Raise(self, node: ast.Raise) -> ast.AST:
        return node

    def visit_JoinedStr(self, node: ast.JoinedStr) -> ast.AST:
        return node

    def visit_keyword(self, node: ast.keyword) -> ast.AST:
        # Rows of one length come out the same whether or not zip is told to look.
        return node if node.arg == "strict" else self.generic_visit(node)

    def visit_AnnAssign(self, node: ast.AnnAssign) -> ast.AST:
        if node.value:
            node.value = self.visit(node.value)
        return node

    def visit_match_case(self, node: ast.match_case) -> ast.AST:
        node.body = [self.visit(each) for each in node.body]
        return node

    def visit_Compare(self, node: ast.Compare) -> ast.AST:
        self.generic_visit(node)
        there: ast.expr = node
        for k, operator in enumerate(node.ops):
            other = copy.deepcopy(node)
            other.ops[k] = COMPARED[type(operator)]()
            there = self._either(node, there, other, f"{_sign(operator)} -> {_sign(other.ops[k])}")
        return there

    def visit_BinOp(self, node: ast.BinOp) -> ast.AST:
        self.generic_visit(node)
        if type(node.op) not in COUNTED or _is_words(node.left) or _is_words(node.right):
            return node
        other = copy.deepcopy(node)
        other.op = COUNTED[type(node.op)]()
        return self._either(node, node, other, f"{_sign(node.op)} -> {_sign(other.op)}")

    def visit_BoolOp(self, node: ast.BoolOp) -> ast.AST:
        self.generic_visit(node)
        other = copy.deepcopy(node)
        other.op = ast.Or() if isinstance(node.op, ast.And) else ast.And()
        return self._either(node, node, other, f"{_sign(node.op)} -> {_sign(other.op)}")

    def visit_UnaryOp(self, node: ast.UnaryOp) -> ast.AST:
        if isinstance(node.operand, ast.Constant):
            return self._figure(node, node.operand.value)
        self.generic_visit(node)
        if not isinstance(node.op, ast.Not | ast.USub):
            return node
        return self._either(node, node, copy.deepcopy(node.operand), f"{_sign(node.op)} goes")

    def visit_Constant(self, node: ast.Constant) -> ast.AST:
        if isinstance(node.value, bool):
            return self._either(node, node, ast.Constant(not node.value), f"{node.value} -> {not node.value}")
        return self._figure(node, node.value)

    def visit_Name(self, node: ast.Name) -> ast.AST:
        if not self._depth or not isinstance(node.ctx, ast.Load) or node.id not in self.figures:
            return node
        number = self._number(node, f"{node.id} larger")
        if not number:
            return node
        return ast.Call(ast.Name(SCALED, ast.Load()), [ast.Constant(number), node], [])

    def visit_Call(self, node: ast.Call) -> ast.AST:
        self.generic_visit(node)
        name = node.func.id if isinstance(node.func, ast.Name) else getattr(node.func, "attr", "")
        if name not in CALLED:
            return node
        other = copy.deepcopy(node)
        if isinstance(other.func, ast.Name):
            other.func.id = CALLED[name]
        elif isinstance(other.func, ast.Attribute):
            other.func.attr = CALLED[name]
        return self._either(node, node, other, f"{name} -> {CALLED[name]}")

    def visit_AugAssign(self, node: ast.AugAssign) -> ast.AST:
        node.value = self.visit(node.value)
        if type(node.op) not in COUNTED or _is_words(node.value):
            return node
        other = copy.deepcopy(node)
        other.op = COUNTED[type(node.op)]()
        number = self._number(node, f"{_sign(node.op)}= -> {_sign(other.op)}=")
        return ast.If(_asked(number), [other], [node]) if number else node

    def visit_Expr(self, node: ast.Expr) -> ast.AST:
        self.generic_visit(node)
        if not isinstance(node.value, ast.Call):
            return node
        number = self._number(node, "the call goes")
        return ast.If(_asked(number), [ast.Pass()], [node]) if number else node

    def _figure(self, node: ast.expr, value: object) -> ast.expr:
        if not isinstance(value, int | float):
            return node
        other = value + 1 if isinstance(value, int) else value * 1.1 or 1.0
        changed: ast.expr = ast.Constant(other)
        if isinstance(node, ast.UnaryOp):
            changed = ast.UnaryOp(node.op, changed)
        return self._either(node, node, changed, f"{value} -> {other:g}")

    def _either(self, node: ast.expr, there: ast.expr, other: ast.expr, words: str) -> ast.expr:
        number = self._number(node, words)
        return ast.IfExp(_asked(number), other, there) if number else there

    def _number(self, node: ast.AST, words: str) -> int:
        """The number of the change that is chosen here; 0 where none is."""
        if not self._depth:
            return 0
        self.seen.append((getattr(node, "lineno", 0), words))
        return self.numbers.get(len(self.seen) - 1, 0)


def _asked(number: int) -> ast.expr:
    return ast.Call(ast.Name(CHANGED, ast.Load()), [ast.Constant(number)], [])


def _is_text(statement: ast.stmt) -> bool:
    return isinstance(statement, ast.Expr) and isinstance(statement.value, ast.Constant)


def _is_words(value: ast.expr) -> bool:
    return isinstance(value, ast.JoinedStr) or (
        isinstance(value, ast.Constant) and isinstance(value.value, str)
    )


def _sign(operator: ast.AST) -> str:
    return SIGNS[type(operator).__name__]
