"""The stub says what the compiled module holds."""

import ast
from pathlib import Path

import shortedge
from shortedge import _core

STUB = Path(shortedge.__file__).with_name("_core.pyi")
TREE = ast.parse(STUB.read_text(encoding="utf-8"))
ONLY_TYPES = ("TypedDict",)  # classes that describe dicts, and exist in the stub alone


def classes() -> dict[str, ast.ClassDef]:
    return {
        node.name: node
        for node in TREE.body
        if isinstance(node, ast.ClassDef) and not any(getattr(base, "id", "") in ONLY_TYPES for base in node.bases)
    }


def functions(body: list[ast.stmt]) -> dict[str, ast.FunctionDef]:
    return {node.name: node for node in body if isinstance(node, ast.FunctionDef)}


def arguments(function: ast.FunctionDef) -> list[str]:
    """Names in order, arguments without a name in the module as its docstrings count them."""
    args = function.args
    unnamed = [f"arg{k}" for k, _ in enumerate(args.posonlyargs)]
    return (
        unnamed + [arg.arg for arg in args.args] + (["*"] if args.kwonlyargs else []) + [a.arg for a in args.kwonlyargs]
    )


def documented(function: object) -> list[str]:
    """The same from the signature that stands first in a compiled function's docstring."""
    first = (function.__doc__ or "").split("\n")[0]
    inside = first[first.index("(") + 1 : first.rindex(") ->")]
    depth, parts = 0, [""]
    for char in inside:
        depth += (char in "[(") - (char in "])")
        if char == "," and depth == 0:
            parts.append("")
        else:
            parts[-1] += char
    return [part.split(":")[0].strip() for part in parts if part.strip()]


def public(names: object) -> set[str]:
    return {name for name in names if not name.startswith("_")}  # type: ignore[attr-defined]


def test_every_name() -> None:
    constants = {
        node.target.id for node in TREE.body if isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name)
    }
    assert public({*classes(), *functions(TREE.body), *constants}) == public(dir(_core))
    assert "__version__" in constants


def test_every_function() -> None:
    stubbed = functions(TREE.body)
    assert len(stubbed) >= 10
    for name, function in stubbed.items():
        assert arguments(function) == documented(getattr(_core, name)), name


def test_every_member() -> None:
    for name, node in classes().items():
        if name.endswith("Error"):
            continue
        members = functions(node.body)
        there = getattr(_core, name)
        assert public(members) == public(dir(there)), name
        for member, function in members.items():
            is_property = any(getattr(mark, "id", "") == "property" for mark in function.decorator_list)
            assert is_property == isinstance(getattr(there, member), property), f"{name}.{member}"
            if not is_property and not member.startswith("_"):
                assert arguments(function) == documented(getattr(there, member)), f"{name}.{member}"


def test_every_rule() -> None:
    """Each rule is an argument and a property, in the module's order."""
    rules = functions(classes()["Rules"].body)
    names = list(_core.Rules().as_dict())
    assert [arg.arg for arg in rules["__init__"].args.kwonlyargs] == names
    assert [name for name in rules if not name.startswith("_") and name != "as_dict"] == names


def test_errors_are_what_the_stub_says() -> None:
    bases = {name: [getattr(base, "id", "") for base in node.bases] for name, node in classes().items()}
    for name in ("InputError", "FileError"):
        assert bases[name] == [getattr(_core, name).__base__.__name__]
