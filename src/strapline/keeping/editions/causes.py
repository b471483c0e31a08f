"""Why figures may have moved: what differs between two states, and which figures that touches."""

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from strapline.ground.tables.editions import CORRECTIONS
from strapline.ground.words import plain
from strapline.keeping.editions.in_force import InForce, Sources

MOST_NAMED = 4
UNKNOWN = "nothing on record accounts for it"

_SESSION = ("parse", "intake", "normalise", "align")
_MEASURED = (*_SESSION, "measure")
_ARCHIVE = (*_MEASURED, "gather_sessions", "gather_figures", "aggregate")
_EPISODES = (*_SESSION, "gather_sessions", "episodes", "gather_episodes")

# By the place of a published figure, the stages it comes from; of another, all.
STAGES = {
    "metrics": (*_MEASURED, "gather_figures", "gather_published"),
    "stated": (*_MEASURED, "gather_figures", "gather_published"),
    "sentences": (*_SESSION, "episodes", "gather_episodes", "gather_published"),
    "consequences": (*_SESSION, "consequences", "gather_episodes", "gather_published"),
    CORRECTIONS: (*_SESSION, "gather_sessions", "gather_published"),
    "sessions": (*_SESSION, "gather_sessions", "aggregate"),
    "faults": (*_EPISODES, "faults"),
    "conditions": (*_EPISODES, "aggregate", "faults"),
    "standings": _ARCHIVE,
    "findings": _ARCHIVE,
    "comparisons": _ARCHIVE,
    "firmware": _ARCHIVE,
    "claims": (*_ARCHIVE, "edition"),
}
ALL_STAGES = tuple(dict.fromkeys(stage for stages in STAGES.values() for stage in stages))


@dataclass(frozen=True)
class Cause:
    """`kind` and `what` in words; of which session and which stages, where not of all."""

    kind: str
    what: str
    session: str = ""
    stages: frozenset[str] = frozenset(ALL_STAGES)

    def touches(self, place: str, session: str) -> bool:
        """Whether a figure in `place`, of `session` or (empty) of all, can come from this."""
        return (not session or self.session in ("", session)) and bool(
            self.stages & set(STAGES.get(place, ALL_STAGES))
        )


def causes(before: InForce, after: InForce) -> list[Cause]:
    """All that differs, in the order in which it is told."""
    return [
        *_of_sessions(before.sessions, after.sessions),
        *_of_settings(before, after),
        *_of_code(before, after),
        *([Cause("changed device register", "")] if before.devices != after.devices else []),
        *(
            Cause("other version", f"{name} {after.versions.get(name, 'gone')} (was {number})")
            for name, number in before.versions.items()
            if after.versions.get(name) != number
        ),
    ]


def told(found: list[Cause]) -> str:
    """'new session: a, b; changed setting: tolerance beats 4 (was 5)'."""
    parts = []
    in_order = sorted(found, key=lambda cause: KINDS.index(cause.kind))
    for kind, same in groupby(in_order, key=lambda cause: cause.kind):
        whats = list(dict.fromkeys(plain(cause.what) for cause in same if cause.what))
        more = len(whats) - MOST_NAMED
        named = whats[:MOST_NAMED] + ([f"and {more} more"] if more > 0 else [])
        parts.append(f"{kind}: {', '.join(named)}" if named else kind)
    return "; ".join(parts) or UNKNOWN


KINDS = (
    "new session",
    "session gone",
    "new export",
    "export gone",
    "changed export",
    "new card",
    "card gone",
    "changed card",
    "changed setting",
    "changed code",
    "changed device register",
    "other version",
)


def kinds_of(why: str) -> list[str]:
    """The kinds alone of causes that are told in words, see `told`."""
    heads = {part.partition(":")[0] for part in why.split("; ")}
    return [kind for kind in KINDS if kind in heads]


# What a tester mends: what was recorded, what is said of it, and by which clock it is read.
MENDED = re.compile(
    r"(^|; )((new|changed) (export|card)|(export|card) gone|changed device register"
    r"|changed setting: ([^;]*, )?clock )"
)


def is_mended(why: str) -> bool:
    """Whether what is told in words, see `told`, may be something that the tester mended."""
    return MENDED.search(why) is not None


def _of_sessions(before: Mapping[str, Sources], after: Mapping[str, Sources]) -> Iterator[Cause]:
    for kind, session in _differences(before, after, "session"):
        if kind != "changed session":
            yield Cause(kind, session, session)
            continue
        old, new = before[session], after[session]
        for of_export, name in _differences(old.exports, new.exports, "export"):
            yield Cause(of_export, f"{name} of {session}", session)
        for of_card, _ in _differences(_card(old), _card(new), "card"):
            yield Cause(of_card, session, session)


def _card(sources: Sources) -> dict[str, str]:
    return {"card": sources.card} if sources.card else {}


def _differences(
    before: Mapping[str, Any], after: Mapping[str, Any], thing: str
) -> Iterator[tuple[str, str]]:
    """'new', 'gone' or 'changed' with the thing, and its name."""
    for name in sorted({*before, *after}):
        if name not in before:
            yield f"new {thing}", name
        elif name not in after:
            yield f"{thing} gone", name
        elif before[name] != after[name]:
            yield f"changed {thing}", name


def _of_settings(before: InForce, after: InForce) -> Iterator[Cause]:
    """One a setting, with the stages that were given it."""
    stages: dict[str, set[str]] = {}
    for stage in before.stages.keys() & after.stages.keys():
        old, new = before.stages[stage].settings, after.stages[stage].settings
        for section in old.keys() & new.keys():
            for _, key in _differences(old[section], new[section], "setting"):
                values = (_value(new[section].get(key)), _value(old[section].get(key)))
                what = f"{section} {key} {values[0]} (was {values[1]})"
                stages.setdefault(what, set()).add(stage)
    for what in sorted(stages):
        yield Cause("changed setting", what, stages=frozenset(stages[what]))


def _value(value: Any) -> str:
    if isinstance(value, float):
        return f"{value:g}"
    return value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)


def _of_code(before: InForce, after: InForce) -> Iterator[Cause]:
    for stage in ALL_STAGES:
        old, new = before.stages.get(stage), after.stages.get(stage)
        if (old and old.code) != (new and new.code):
            yield Cause("changed code", stage, stages=frozenset({stage}))
