"""Small faults in a module, each as the whole text of the module with that fault in it."""

from __future__ import annotations

import ast
from collections.abc import Callable, Iterator
from dataclasses import dataclass

_SWAPS: dict[type[ast.AST], type[ast.AST]] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
    ast.And: ast.Or,
    ast.Or: ast.And,
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.FloorDiv: ast.Mult,
    ast.Mult: ast.FloorDiv,
    ast.Mod: ast.FloorDiv,
}


@dataclass(frozen=True)
class Mutant:
    """A fault: where, what, and the module's text with it."""

    line: int
    meaning: str
    text: str


def how_many(text: str) -> int:
    """The number of mutants of a module."""
    return sum(1 for _ in _changes(ast.parse(text)))


def mutant(text: str, number: int) -> Mutant:
    """Mutant ``number`` of a module, from 0, in order of their places."""
    tree = ast.parse(text)
    node, meaning, change = list(_changes(tree))[number]
    before = ast.unparse(node)
    change()
    return Mutant(node.lineno, f"{meaning}: {before.splitlines()[0][:90]}", ast.unparse(tree) + "\n")


Change = tuple[ast.expr | ast.stmt, str, Callable[[], None]]


def _changes(tree: ast.Module) -> Iterator[Change]:
    """Every change that can be made within the functions of a module; what is declared outside of them is left."""
    for function in ast.walk(tree):
        if isinstance(function, ast.FunctionDef):
            for statement in function.body:
                for node in _walk(statement):
                    yield from _of(node)


def _walk(node: ast.AST) -> Iterator[ast.AST]:
    """A node and what is in it, but for annotations, and functions of their own."""
    yield node
    for name, value in ast.iter_fields(node):
        if name in ("annotation", "returns", "decorator_list"):
            continue
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST) and not isinstance(child, ast.FunctionDef | ast.ClassDef):
                yield from _walk(child)


def _of(node: ast.AST) -> Iterator[Change]:
    if isinstance(node, ast.Compare):
        for place, sign in enumerate(node.ops):
            if type(sign) in _SWAPS:
                yield (
                    node,
                    _named(sign),
                    lambda place=place, sign=sign: node.ops.__setitem__(place, _SWAPS[type(sign)]()),
                )
    elif isinstance(node, ast.BinOp | ast.BoolOp) and type(node.op) in _SWAPS:
        yield node, _named(node.op), lambda: setattr(node, "op", _SWAPS[type(node.op)]())
    elif isinstance(node, ast.Constant) and isinstance(node.value, bool):
        yield node, "the other truth", lambda: setattr(node, "value", not node.value)
    elif isinstance(node, ast.Constant) and isinstance(node.value, int):
        yield node, "one more", lambda: setattr(node, "value", node.value + 1)
    elif isinstance(node, ast.IfExp | ast.If):
        yield node, "the other branch", lambda: setattr(node, "test", ast.UnaryOp(ast.Not(), node.test))
    elif isinstance(node, ast.Expr) and isinstance(node.value, ast.Call | ast.YieldFrom):
        yield node, "left out", lambda: setattr(node, "value", ast.Constant(None))
    elif isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Attribute):
        yield node, "left out", lambda: setattr(node, "targets", [ast.Name("_unused", ast.Store())])
    elif isinstance(node, ast.Continue):
        yield node, "left out", lambda: setattr(node, "__class__", ast.Pass)


def _named(sign: ast.AST) -> str:
    return f"{type(sign).__name__} is {_SWAPS[type(sign)].__name__}"
