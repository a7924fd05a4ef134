"""Which texts the program's own code may make: read from the code, figures and names in it replaced by stand-ins."""

import ast
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice, product
from pathlib import Path

FIGURE = "X7"
NAME = "Zorro Quince"
"""Stands for what people named: two words that no catalogue has."""
_MOST = 200
"""Of one expression no more texts are told apart."""
_COUNTS = {"len", "int", "round", "sum", "abs", "min", "max"}

Assigned = Mapping[str, Sequence[ast.expr]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Scope:
    """What names may stand for in a piece of code: what its function, else its module, gives them."""

    module: Assigned
    function: Assigned

    def of(self, name: str) -> Sequence[ast.expr]:
        """The expressions that a name may stand for."""
        return self.function.get(name, ()) or self.module.get(name, ())


def nodes(file: Path) -> Iterator[tuple[ast.AST, Scope]]:
    """Everything in a file's code, with what names may stand for there."""
    tree = ast.parse(file.read_text(encoding="utf-8"))
    yield from _nodes_in(tree, Scope(module=_assigned(tree.body), function={}))


def _nodes_in(node: ast.AST, scope: Scope) -> Iterator[tuple[ast.AST, Scope]]:
    for child in ast.iter_child_nodes(node):
        inner = scope
        if isinstance(child, ast.FunctionDef):
            inner = Scope(module=scope.module, function={**scope.function, **_assigned(child.body)})
        yield child, inner
        yield from _nodes_in(child, inner)


def _assigned(body: Sequence[ast.stmt]) -> Assigned:  # noqa: C901 - one case a kind of code
    """What names are given: by `=` and `+=`, item by item by `append`, by a loop over what is written out; and what
    functions give back."""
    found: dict[str, list[ast.expr]] = defaultdict(list)
    for node in _steps(body):
        match node:
            case ast.Assign(targets=[ast.Name(id=name)], value=value):
                found[name].append(value)
            case ast.AugAssign(target=ast.Name(id=name), op=ast.Add(), value=value):
                found[name].append(value)
            case ast.Call(func=ast.Attribute(value=ast.Name(id=name), attr="append"), args=[value]):
                found[name].append(value)
            case ast.FunctionDef(name=name, body=steps):
                within = (one for step in steps for one in ast.walk(step))
                found[name] += [one.value for one in within if isinstance(one, ast.Return) and one.value is not None]
            case ast.For(target=ast.Tuple(elts=targets), iter=ast.Tuple(elts=turns)):
                for turn in turns:
                    if isinstance(turn, ast.Tuple):
                        for target, value in zip(targets, turn.elts, strict=False):
                            if isinstance(target, ast.Name):
                                found[target.id].append(value)
    return found


def _steps(body: Sequence[ast.AST]) -> Iterator[ast.AST]:
    """Everything in a piece of code but what stands within its functions, which have names of their own."""
    for node in body:
        yield node
        if not isinstance(node, ast.FunctionDef):
            yield from _steps(list(ast.iter_child_nodes(node)))


def texts(node: ast.expr, scope: Scope) -> list[str]:
    """Each text that an expression may make; none where it isn't told here."""
    return _texts(node, scope, frozenset())[:_MOST]


def _texts(node: ast.expr, scope: Scope, seen: frozenset[str]) -> list[str]:  # noqa: C901, PLR0911 - as above
    match node:
        case ast.Constant(value=str(text)):
            return [text]
        case ast.Name(id=name) if name not in seen:
            return [text for one in scope.of(name) for text in _texts(one, scope, seen | {name})]
        case ast.IfExp(body=body, orelse=orelse):
            return _texts(body, scope, seen) + _texts(orelse, scope, seen)
        case ast.BinOp(left=left, op=ast.Add(), right=right):
            return _together([_texts(left, scope, seen), _texts(right, scope, seen)])
        case ast.JoinedStr(values=values):
            return _together([_texts(part, scope, seen) or [NAME] for part in values])
        case ast.FormattedValue(value=value, format_spec=spec):
            return _texts(value, scope, seen) or [FIGURE if spec is not None or _counts(value) else NAME]
        case ast.List(elts=items):
            return [text for item in items for text in _texts(item, scope, seen) or [NAME]]
        case ast.ListComp(elt=item) | ast.GeneratorExp(elt=item):
            return _texts(item, scope, seen)
        case ast.Call(func=ast.Name(id=name)) if name not in seen:
            return [text for one in scope.of(name) for text in _texts(one, scope, seen | {name})]
        case ast.Call(func=ast.Attribute(attr="join"), args=[items]):
            return _texts(items, scope, seen)
        case ast.Call(func=ast.Attribute(value=value, attr="strip" | "rstrip" | "capitalize" | "format")):
            return _texts(value, scope, seen)
    return []


def _together(parts: Sequence[Sequence[str]]) -> list[str]:
    return ["".join(chosen) for chosen in islice(product(*parts), _MOST)]


def _counts(node: ast.expr) -> bool:
    return isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in _COUNTS


def reached(roots: Sequence[Path], package: Path) -> list[Path]:
    """The files of a package that these import, they themselves and by way of others."""
    seen: set[Path] = set()
    todo = list(roots)
    while todo:
        file = todo.pop()
        if file not in seen:
            seen.add(file)
            todo += [one for name in _imported(file) for one in _files_of(name, package)]
    return sorted(seen)


def _imported(file: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module:
            yield from (f"{node.module}.{one.name}" for one in node.names)
        elif isinstance(node, ast.Import):
            yield from (one.name for one in node.names)


def _files_of(name: str, package: Path) -> Iterator[Path]:
    """A dotted name's own file and those of the packages around it."""
    parts = name.split(".")
    if parts[0] != package.name:
        return
    for end in range(1, len(parts) + 1):
        place = package.parent.joinpath(*parts[:end])
        yield from (one for one in (place.with_suffix(".py"), place / "__init__.py") if one.exists())
