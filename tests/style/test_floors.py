"""The house: floors one above the other, and imports run downward only."""

import ast
from collections.abc import Iterator
from pathlib import Path

SOURCE = Path(__file__).resolve().parents[2] / "src" / "strapline"

# Each floor, and those it may know.
MAY_KNOW = {
    "ground": (),
    "reading": ("ground",),
    "method": ("ground",),
    "keeping": ("ground", "method"),
    "telling": ("ground", "method", "keeping"),
    "running": ("ground", "reading", "method", "keeping", "telling"),
    "demo": ("ground",),
}
# The rooms of the method: each may know those before it.
ROOMS = (
    "signal",
    "stated",
    "agreement",
    "metrics",
    "episodes",
    "consequences",
    "planning",
    "claims",
)

# Where Snakemake's own objects are known; and the plugin, a package of its own.
SNAKEMAKE = ("running", "snakemake_hooks")

Name = tuple[str, ...]


def imports() -> Iterator[tuple[Name, Name]]:
    """Each module of ours with each name it imports; of our own without the package's."""
    for path in sorted(SOURCE.rglob("*.py")):
        module = path.relative_to(SOURCE).with_suffix("").parts
        for node in ast.walk(ast.parse(path.read_bytes())):
            if isinstance(node, ast.ImportFrom) and node.module:
                yield from ((module, (*node.module.split("."), name.name)) for name in node.names)
            elif isinstance(node, ast.Import):
                yield from ((module, tuple(name.name.split("."))) for name in node.names)


def fault(module: Name, imported: Name) -> str | None:
    """Why the one may not import the other, or None."""
    floor, package, *name = module[0], *imported
    said = f"{'.'.join(module)} may not know {'.'.join(imported[package == 'strapline' :])}: "
    if package.startswith("snakemake") and module[:2] != SNAKEMAKE:
        return said + f"only {'.'.join(SNAKEMAKE)} may know Snakemake"
    if package != "strapline" or floor not in MAY_KNOW or not name:
        return None
    if name[0] not in (floor, *MAY_KNOW[floor]):
        return said + f"{floor} may know {', '.join(MAY_KNOW[floor])}"
    if floor == name[0] == "method" and ROOMS.index(name[1]) > ROOMS.index(module[1]):
        return said + f"{name[1]} stands above {module[1]}"
    return None


def test_every_module_stands_on_a_floor() -> None:
    found = {path.name for path in SOURCE.iterdir() if path.name != "__pycache__"}
    assert found == {*MAY_KNOW, "__init__.py", "__main__.py"}


def test_imports_run_downward_only() -> None:
    faults = sorted({why for one, other in imports() if (why := fault(one, other))})
    assert not faults, "\n".join(faults)


def test_an_import_upward_is_told() -> None:
    grid = ("method", "signal", "grid")
    assert fault(grid, ("strapline", "telling", "charts", "font")) == (
        "method.signal.grid may not know telling.charts.font: method may know ground"
    )
    assert fault(grid, ("strapline", "method", "claims", "claim")) == (
        "method.signal.grid may not know method.claims.claim: claims stands above signal"
    )
    assert fault(grid, ("snakemake", "api")) == (
        "method.signal.grid may not know snakemake.api: "
        "only running.snakemake_hooks may know Snakemake"
    )
    assert fault(("running", "redoing"), ("snakemake_interface_logger_plugins", "base"))
    assert fault(("running", "snakemake_hooks", "redo"), ("snakemake", "dag")) is None
    assert fault(grid, ("strapline", "ground", "settings", "Grid")) is None
