"""Every small change that can be made to a module: the operators of mutmut, and one of ours.

mutmut's own command leaves out constants, decorated functions and properties, and cannot tell a message from
a value. So its operators are used, and the module is walked here.

Kinds
-----
value     a change of what is computed. These are the figure.
message   a change inside an error that is raised, or to a text that reads as a sentence. Counted apart.

Left out: docstrings, type annotations, decorators, imports, ``__all__``, names of types; the ``strict`` of a
``zip``, which only asserts what the code knows; what does not compile; texts in a table of a module, which
are data; and of the changes that mutmut makes to a text (more letters, small, capital) all but the first.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import libcst as cst
from libcst.metadata import MetadataWrapper, PositionProvider
from mutmut.mutation.mutators import mutation_operators

_LEFT_OUT = (cst.Annotation, cst.Decorator, cst.Import, cst.ImportFrom, cst.Subscript)
_NAMES_OF_TYPES = ("Literal", "Mapping", "NDArray", "Callable", "tuple", "dict", "list")
_HARMLESS_CALLS = ("len", "isinstance", "TypeVar")


@dataclass(frozen=True)
class Mutant:
    """One changed module: where, what the lines were and are, and the whole text.

    ``inside``: the change lies in the body of a function, so that a running module can take it over.
    """

    line: int
    end: int
    place: str
    kind: str
    inside: bool
    before: str
    after: str
    code: str


def mutants(source: str) -> list[Mutant]:
    """Return every mutant of a module, in order, none twice."""
    wrapper = MetadataWrapper(cst.parse_module(source))
    walk = _Walk(wrapper.resolve(PositionProvider))
    wrapper.module.visit(walk)
    parts = [cst.Module([]).code_for_node(part) for part in wrapper.module.body]
    head = source[: len(source) - len("".join(parts))] if source.endswith("".join(parts)) else None
    assert head is not None, "the module is not its statements one after the other"
    found: dict[str, Mutant] = {}
    for old, new, at, place, inside, message in walk.changes:
        part = cst.Module([]).code_for_node(wrapper.module.body[at].deep_replace(old, new))
        code = head + "".join([*parts[:at], part, *parts[at + 1 :]])
        if code == source or code in found or not _compiles(part):
            continue
        span = walk.positions[old]
        before, after = _changed(source, code)
        kind = "message" if message else "value"
        found[code] = Mutant(span.start.line, span.end.line, place, kind, inside, before, after, code)
    return sorted(found.values(), key=lambda mutant: (mutant.line, mutant.after))


class _Walk(cst.CSTVisitor):
    def __init__(self, positions) -> None:
        super().__init__()
        self.positions, self.changes = positions, []
        self.stack: list[cst.CSTNode] = []

    def on_visit(self, node: cst.CSTNode) -> bool:
        if _left_out(node):
            return False
        self.stack.append(node)
        if node in self.positions and len(self.stack) > 1:
            at = next(i for i, part in enumerate(self.stack[0].body) if part is self.stack[1])
            place = ".".join(
                n.name.value for n in self.stack if isinstance(n, cst.FunctionDef | cst.ClassDef)
            )
            inside = any(isinstance(n, cst.FunctionDef) and n.body in self.stack for n in self.stack)
            error = any(isinstance(n, cst.Raise) for n in self.stack)
            table = not inside and any(isinstance(n, cst.Tuple | cst.Dict | cst.List) for n in self.stack)
            for new in () if table and isinstance(node, cst.BaseString) else _changes(node):
                message = error or _drops_a_sentence(node, new)
                self.changes.append((node, new, at, place or "(module)", inside, message))
        return True

    def on_leave(self, original_node: cst.CSTNode) -> None:
        if self.stack and self.stack[-1] is original_node:
            self.stack.pop()


def _left_out(node: cst.CSTNode) -> bool:
    if isinstance(node, cst.Subscript):
        return isinstance(node.value, cst.Name) and node.value.value in _NAMES_OF_TYPES
    if isinstance(node, _LEFT_OUT):
        return True
    if isinstance(node, cst.If) and "TYPE_CHECKING" in _text(node.test):
        return True
    if isinstance(node, cst.Call) and isinstance(node.func, cst.Name):
        return node.func.value in _HARMLESS_CALLS
    if isinstance(node, cst.Arg) and node.keyword is not None and node.keyword.value == "strict":
        return True
    if isinstance(node, cst.Assign):
        return _text(node.targets[0].target) == "__all__"
    return isinstance(node, cst.Expr) and isinstance(node.value, cst.BaseString)  # a docstring


def _changes(node: cst.CSTNode) -> Iterator[cst.CSTNode]:
    for wanted, operator in mutation_operators:
        if isinstance(node, wanted):
            made = [new for new in operator(node) if not _only_strict(node, new)]
            yield from made[:1] if isinstance(node, cst.BaseString) else made
    if isinstance(node, cst.If):  # ours: the branch is never taken
        test = node.test.with_changes(lpar=[cst.LeftParen()], rpar=[cst.RightParen()])
        never = cst.BooleanOperation(test, cst.And(), cst.Name("False"))
        yield node.with_changes(test=never, whitespace_before_test=cst.SimpleWhitespace(" "))


def _only_strict(old: cst.CSTNode, new: cst.CSTNode) -> bool:
    """Say whether the change is only to the ``strict`` of a call."""
    if not isinstance(old, cst.Call) or not isinstance(new, cst.Call):
        return False
    kept = [arg.keyword is not None and arg.keyword.value == "strict" for arg in old.args]
    return any(kept) and [a for a, strict in zip(old.args, kept, strict=True) if not strict] == [
        arg for arg in new.args if arg.keyword is None or arg.keyword.value != "strict"
    ]


def _drops_a_sentence(old: cst.CSTNode, new: cst.CSTNode) -> bool:
    """Say whether the change is to a sentence, or takes one away."""
    if isinstance(old, cst.BaseString):
        return _is_sentence(old)
    if isinstance(old, cst.Assign | cst.AnnAssign | cst.AugAssign):
        return old.value is not None and _is_sentence(old.value)
    if isinstance(old, cst.Call) and isinstance(new, cst.Call):
        if len(new.args) < len(old.args):
            gone = [arg for arg in old.args if arg not in new.args]
        else:
            gone = [a for a, b in zip(old.args, new.args, strict=True) if a is not b]
        return bool(gone) and all(_is_sentence(arg.value) for arg in gone)
    return False


def _is_sentence(node: cst.CSTNode) -> bool:
    if isinstance(node, cst.ConcatenatedString):
        return _is_sentence(node.left) or _is_sentence(node.right)
    if isinstance(node, cst.FormattedString):
        text = "".join(
            part.value if isinstance(part, cst.FormattedStringText) else "x" for part in node.parts
        )
    elif isinstance(node, cst.SimpleString) and isinstance(node.evaluated_value, str):
        text = node.evaluated_value
    else:
        return False
    words = text.split()
    ends = text.rstrip().endswith((".", ":", ";", "?", "!"))
    return len(words) > 3 or (len(words) > 1 and (ends or text[:1].isupper() or text[:1] == " "))


def _text(node: cst.CSTNode) -> str:
    return cst.Module([]).code_for_node(node)


def _compiles(code: str) -> bool:
    try:
        compile(code, "mutant", "exec")
    except SyntaxError:
        return False
    return True


def _changed(source: str, code: str) -> tuple[str, str]:
    """Return the lines that differ, before and after, each as one line of text."""
    old, new = source.splitlines(), code.splitlines()
    head = next((i for i, (a, b) in enumerate(zip(old, new, strict=False)) if a != b), 0)
    tail = 0
    while tail < min(len(old), len(new)) - head and old[-1 - tail] == new[-1 - tail]:
        tail += 1
    return tuple(" ".join(" ".join(side[head : len(side) - tail]).split()) for side in (old, new))
