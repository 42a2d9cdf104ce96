"""Imports go down only, so that a page can never be needed to work out a number."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "generator"

# Lower may not import higher; engines of layer 2 do not know each other.
LAYERS = [
    {"errors", "finding", "units", "expr"},
    {"model", "yamlread", "factspec", "facts", "fact_places", "figures", "library", "content_names", "content_places", "content_checks",
     "content_checks_exam", "content_checks_learning", "content_checks_sheets", "content_checks_mistakes", "content_checks_program", "fit_names", "load_content", "load_workshop", "course", "course_parts", "practical", "new"},
    {"calc", "checks", "exam", "hold", "holding", "program", "plan", "register", "quiz", "stop_map"},
    {"pages", "templates", "exports", "lint", "rehearsal"},
    {"mkdocs_plugin", "host", "preview", "site", "offline", "one_file", "export", "builds", "pack", "plain", "job_plan", "job_picture", "exam_desk", "program_check", "check_command", "rehearse", "rehearse_mistakes", "register_desk", "register_views", "cli_register", "cli", "__main__"},
]  # fmt: skip
LEVEL = {name: level for level, names in enumerate(LAYERS) for name in names}
# These join the engines' answers into one plan, so they may know them.
JOINS_ENGINES = {"plan", "holding"}
# Tables of words and names beside the engine that fills them: data like any other, so content may be held to them.
WORD_TABLES = {"generator.program.catalogue", "generator.program.messages"}


def modules() -> list[Path]:
    return sorted(path for path in PACKAGE.rglob("*.py") if "_data" not in path.parts)


def unit_of(path: Path) -> str:
    first = path.relative_to(PACKAGE).parts[0]
    return first.removesuffix(".py")


def imported(path: Path) -> set[str]:
    """Every dotted name a module imports, inside functions too."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom):
            found.add(node.module or "")
        elif isinstance(node, ast.Import):
            found |= {name.name for name in node.names}
    return found


def imports(path: Path) -> set[str]:
    """The parts of our own package a module imports."""
    return {name.split(".")[1] for name in imported(path) - WORD_TABLES if name.startswith("generator.")}


@pytest.mark.parametrize("path", modules(), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_a_module_imports_only_from_its_own_layer_or_below(path: Path) -> None:
    """No import goes up, and no engine imports another."""
    own = unit_of(path)
    if own == "__init__":
        return
    for other in imports(path) - {own}:
        assert LEVEL[other] <= LEVEL[own], f"{own} imports {other} from above"
        engines = LEVEL[other] == LEVEL[own] == 2 and own not in JOINS_ENGINES
        assert not engines, f"the engine {own} imports the engine {other}"


def test_every_module_has_a_layer() -> None:
    """A new module must be given its place."""
    assert {unit_of(path) for path in modules()} - {"__init__"} <= set(LEVEL)


def test_only_the_adapter_knows_the_host() -> None:
    """MkDocs is imported at the edge alone, so that the rest outlives it."""
    knowing = {unit_of(path) for path in modules() if any(name.split(".")[0] == "mkdocs" for name in imported(path))}
    assert knowing == {"mkdocs_plugin", "host", "preview"}


def test_no_text_is_ever_evaluated() -> None:
    """Neither Python nor the browser scripts evaluate text as code."""
    scripts = sorted((PACKAGE.parent / "site_assets").rglob("*.js"))
    assert scripts
    for path in scripts:
        text = path.read_text(encoding="utf-8")
        assert "eval(" not in text, path
        assert "new Function" not in text, path
    for path in modules():
        calls = [node for node in ast.walk(ast.parse(path.read_text())) if isinstance(node, ast.Call)]
        assert not [call for call in calls if isinstance(call.func, ast.Name) and call.func.id in {"eval", "exec"}], (
            path
        )
