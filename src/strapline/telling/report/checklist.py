"""What a report of a test should state, each point answered from the archive or marked missing.

Points in our own words after what stands in each source, as far as it was read.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from strapline.ground.report_files import CHECKLIST_PAGE
from strapline.ground.vocabulary import Placement
from strapline.method.claims.usable import FEWEST_MINUTES
from strapline.method.planning import protocol
from strapline.telling.report import checklist_answers as answer
from strapline.telling.report.checklist_answers import Archive
from strapline.telling.report.markdown import literal
from strapline.telling.report.page import Context, Page

STATEMENT = protocol.STATEMENT
CTA = "CTA-2065, as read in papers"
BLAND_ALTMAN = "Bland & Altman 1986, 1999, 2007"
PLANNED = "Kupper & Hafner 1989"
COMMON = "common practice, no source"

SOURCES = (
    protocol.STATEMENT_IN_FULL,
    "CTA-2065 (2018), heart rate in physical activity: not read itself, only what papers say of it",
    "Bland & Altman 1986, Lancet 327:307–310; 1999, Stat Methods Med Res 8:135–160; 2007, "
    "J Biopharm Stat 17:571–582",
    "Kupper & Hafner 1989, Am Stat 43:101–105",
)


@dataclass(frozen=True)
class Point:
    """`answer` is None where the archive has none; `remedy` says where to state it."""

    topic: str
    text: str
    source: str
    answer: str | None
    remedy: str


def points(archive: Archive) -> list[Point]:
    """Topic by topic, in the order in which a report tells them."""
    return [
        *_wearers(archive),
        *_devices(archive),
        *_conditions(archive),
        *_protocol(archive),
        *_results(archive),
        Point(
            "Around it",
            "Who paid, who lent the devices, and what the wearers agreed to",
            COMMON,
            None,
            "The archive does not know it; write it yourself.",
        ),
    ]


def _wearers(archive: Archive) -> Iterator[Point]:
    remedy = "Say wearer in each session card."
    number = answer.wearers(archive)
    yield Point("Wearers", "How many people wore the devices", STATEMENT, number, remedy)
    for known, key, text in (
        (answer.stated(archive, lambda i: i.body.sex is not None), "sex", "Their sex"),
        (
            answer.stated(archive, lambda i: i.body.weight_kg is not None),
            "weight_kg",
            "Their weight",
        ),
    ):
        yield Point("Wearers", text, STATEMENT, known, f"Say it under body.{key} in the card.")
    yield _condition(archive, "Wearers", "height_cm", "Their height, for body mass index")
    yield _condition(archive, "Wearers", "skin_tone", "Their skin tone, and on what scale")


def _devices(archive: Archive) -> Iterator[Point]:
    yield Point(
        "Devices",
        "A chest strap or an electrocardiogram as the reference",
        STATEMENT,
        answer.references(archive),
        "Name it in devices.yaml with its kind.",
    )
    yield Point(
        "Devices",
        "Where each was worn, as its maker says",
        STATEMENT,
        answer.stated_of_devices(archive, lambda entry: entry.placement != Placement.OTHER),
        "Say placement for each recording in the card.",
    )
    yield Point(
        "Devices",
        "The firmware of each",
        COMMON,
        answer.stated_of_devices(archive, lambda entry: entry.firmware is not None),
        "Say firmware for each recording in the card.",
    )


def _conditions(archive: Archive) -> Iterator[Point]:
    yield _condition(archive, "Conditions", "last_meal_h", "When the wearer last ate")
    yield _condition(archive, "Conditions", "caffeine", "Caffeine before the session")
    yield _condition(archive, "Conditions", "medication", "Medication that acts on heart rate")
    yield _condition(archive, "Conditions", "activity_before", "What was done in the hours before")


def _condition(archive: Archive, topic: str, key: str, text: str) -> Point:
    known = answer.stated(archive, lambda intake: key in intake.conditions)
    return Point(topic, text, STATEMENT, known, f"Say it under conditions.{key} in the card.")


def _protocol(archive: Archive) -> Iterator[Point]:
    for text, source, known, remedy in (
        (
            "Which activities, and how often",
            STATEMENT,
            answer.activities(archive),
            "Say activity in each session card.",
        ),
        (
            "Several intensities",
            STATEMENT,
            answer.efforts(archive),
            "Say body.maximum_bpm or body.age_years, which bands of effort go by.",
        ),
        (
            "Steady parts of 2 to 5 minutes, transitions and recovery",
            STATEMENT,
            answer.stated(archive, lambda intake: bool(intake.segments)),
            "Name them under segments in the card.",
        ),
        (
            f"Changing efforts for {FEWEST_MINUTES} to 20 minutes or more",
            STATEMENT,
            answer.lengths(archive),
            "Record longer sessions.",
        ),
        (
            "How the number of sessions was chosen",
            PLANNED,
            answer.number_of_sessions(archive),
            "",
        ),
    ):
        yield Point("Protocol", text, source, known, remedy)


def _results(archive: Archive) -> Iterator[Point]:
    none = "No session could be compared yet."
    for text, source, known, remedy in (
        (
            "How often each device gives a reading",
            CTA,
            None,
            "Each session’s page counts every device’s samples; say the usual interval yourself.",
        ),
        ("Availability of readings", CTA, answer.medians(archive, "coverage", "%"), none),
        ("Mean absolute error in percent", CTA, answer.medians(archive, "mape", "%"), none),
        (
            "Delay behind the reference",
            CTA,
            answer.medians(archive, "delay_rising", "s"),
            "Let the heart rate rise and fall within a session.",
        ),
        (
            "Bias and limits of agreement with their intervals, for several sessions a device",
            BLAND_ALTMAN,
            answer.intervals(archive),
            "Record at least two sessions of a device at an activity.",
        ),
        ("What was left out, and why", COMMON, answer.set_aside(archive), none),
    ):
        yield Point("Results", text, source, known, remedy)


def context(found: Sequence[Point]) -> Context:
    """The points, topic by topic."""
    return {"topics": _by_topic(found), "sources": SOURCES}


def checklist_text(found: Sequence[Point]) -> str:
    """`checklist.md`, to stand under a publication."""
    lines = ["# Reporting checklist", ""]
    for topic, own in _by_topic(found).items():
        lines += [f"## {topic}", ""]
        for point in own:
            answer = literal(point.answer) if point.answer else f"missing. {point.remedy}"
            lines.append(f"- {point.text} ({point.source}): {answer.rstrip('.')}.")
        lines.append("")
    return "\n".join([*lines, "Sources:", "", *(f"- {source}" for source in SOURCES), ""])


def _by_topic(found: Iterable[Point]) -> dict[str, list[Point]]:
    topics: dict[str, list[Point]] = {}
    for point in found:
        topics.setdefault(point.topic, []).append(point)
    return topics


CHECKLIST = Page(CHECKLIST_PAGE, "checklist", "checklist.html", context, word="Checklist")
