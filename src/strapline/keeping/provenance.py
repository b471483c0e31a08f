"""Fingerprints: what a stage's results depend on besides its input files.

Snakemake sees files, params and rule code change, but not the modules a rule imports. A
stage's fingerprint closes that gap: one string over the syntax trees of every Strapline
module its step imports (comments and docstrings left out), over the data files beside those
modules, over the settings the step names in its signature, and over the versions of the libraries
that those modules compute with.
"""

import ast
import hashlib
import json
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path

from strapline.ground.settings import Settings
from strapline.ground.versions import BENEATH, COMPUTING, versions
from strapline.keeping.sources import Source, Sources

PACKAGE = "strapline"
ROOT = Path(__file__).parents[1]
STAGES = f"{PACKAGE}.running.stages"

_sources = Sources()


@contextmanager
def code_kept(kept: Path) -> Iterator[None]:
    """While this lasts, `kept` says what need not be read of the code again; it is written at the
    end."""
    global _sources
    _sources = Sources(kept)
    yield
    _sources.keep()


def fingerprints(settings: Settings) -> dict[str, str]:
    """The fingerprint of every stage."""
    return {stage: fingerprint(stage, settings) for stage in stages()}


def fingerprint(stage: str, settings: Settings) -> str:
    """A short hash that changes exactly when `stage` could give other results."""
    digest = hashlib.sha256(code_of(f"{STAGES}.{stage}").encode())
    sections = settings.only(sections_read(stage))
    for name in sorted(sections):
        digest.update(f"{name}={sections[name].model_dump_json()}\n".encode())
    for library in libraries_of(stage):
        digest.update(f"{library} {versions()[library]}\n".encode())
    return f"{stage}:{digest.hexdigest()[:16]}"


def stages() -> tuple[str, ...]:
    """Every step a rule performs."""
    files = sorted(_file(STAGES).parent.glob("*.py"))
    return tuple(path.stem for path in files if _run_in(path) is not None)


@cache
def sections_read(stage: str) -> tuple[str, ...]:
    """Names of the settings sections that the step's `run` takes."""
    run = _run_in(_file(f"{STAGES}.{stage}"))
    if run is None:
        raise ValueError(f"step {stage} has no function 'run'")
    arguments = [argument.arg for argument in run.args.kwonlyargs]
    return tuple(name for name in arguments if name in Settings.model_fields)


@cache
def libraries_of(stage: str) -> tuple[str, ...]:
    """The libraries that compute and that the step uses, in order of name."""
    imported = {
        name.split(".")[0]
        for module in _closure(f"{STAGES}.{stage}")
        for name in _source(module).imports
    }
    used = imported.intersection(COMPUTING)
    return tuple(sorted(used.union(*(BENEATH.get(library, ()) for library in used))))


@cache
def code_of(module: str) -> str:
    """A hash of all Strapline code and data that `module` uses."""
    modules = _closure(module)
    parts = [f"{name}:{_source(name).meaning}" for name in sorted(modules)]
    folders = sorted({_file(name).parent for name in modules} - {ROOT})
    parts += [_content(path) for folder in folders for path in _data_files(folder)]
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()


@cache
def _run_in(step: Path) -> ast.FunctionDef | None:
    tree = ast.parse(step.read_bytes())
    functions = [node for node in tree.body if isinstance(node, ast.FunctionDef)]
    return next((function for function in functions if function.name == "run"), None)


def _closure(start: str) -> set[str]:
    found: set[str] = set()
    waiting = [start]
    while waiting:
        module = waiting.pop()
        if module not in found:
            found.add(module)
            waiting.extend(_imported(module))
    return found


@cache
def _source(module: str) -> Source:
    return _sources.of(_file(module))


@cache
def _imported(module: str) -> tuple[str, ...]:
    names = _source(module).imports
    with_parents = {".".join(name.split(".")[:end]) for name in names for end in range(1, 9)}
    return tuple(sorted(name for name in with_parents if _is_ours(name)))


@cache
def _is_ours(module: str) -> bool:
    return module.split(".")[0] == PACKAGE and _file(module).exists()


def _file(module: str) -> Path:
    parts = module.split(".")[1:]
    package = ROOT.joinpath(*parts)
    return package / "__init__.py" if package.is_dir() else package.with_suffix(".py")


def _data_files(folder: Path) -> list[Path]:
    inner = [p for p in folder.iterdir() if p.is_dir() and p.name != "__pycache__"]
    data = [p for p in folder.iterdir() if p.is_file() and p.suffix != ".py"]
    plain = [p for p in inner if not (p / "__init__.py").exists()]
    return sorted(data) + [path for sub in sorted(plain) for path in _data_files(sub)]


@cache
def _content(path: Path) -> str:
    digest = hashlib.sha256(path.read_bytes()).hexdigest()
    return f"{path.relative_to(ROOT).as_posix()}:{digest}"


def canonical(value: object) -> str:
    """One string for a JSON-able value: what Snakemake can compare as a param."""
    return json.dumps(value, sort_keys=True, ensure_ascii=True, separators=(",", ":"))
