"""Say in a session's card why figures that were published have changed.

The next run says it on the page Changes, and writes a text to publish beside the old figures.
"""

import argparse
from contextlib import suppress
from pathlib import Path

import yaml

from strapline.ground.documents import DocumentError, as_yaml, parse, validated
from strapline.ground.files import write_text
from strapline.ground.records.card import Card
from strapline.ground.records.intake import read_intake
from strapline.ground.words import plain
from strapline.running.asked import session_of
from strapline.running.commands.card import place_of_card

KEY = "correction"


def describe(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("session", help="its name in the closing lines and the report")
    parser.add_argument("--why", required=True, metavar="TEXT", help="in a sentence for readers")
    parser.add_argument("--inbox", default="inbox", metavar="FOLDER", help="where the exports are")
    parser.add_argument("--results", default="results", metavar="FOLDER", help="where they are")


def run(options: argparse.Namespace) -> int:
    results = Path(options.results)
    session = session_of(results, options.session)
    intake = read_intake(results / "sessions" / session / "intake.json")
    place = place_of_card(Path(options.inbox), intake)
    write_text(place, _with(place, {KEY: options.why}))
    print(f"Written in {plain(str(place))}. Type `snakemake`; to publish beside the old figures:")
    print(f"  {results}/report/corrections.md")
    return 0


def _with(place: Path, said: dict[str, str]) -> str:
    """The card with one key more, and otherwise as the tester wrote it; a new card leaves all else
    to be inferred as before. Raises DocumentError."""
    content = parse(place) if place.exists() else {}
    if KEY in content:
        raise DocumentError([f"{place} has a '{KEY}' already. Say there what is new."])
    validated(content | said, Card, place.name)
    before = place.read_text("utf-8-sig").rstrip() if place.exists() else ""
    text = "\n".join(filter(None, [before, as_yaml(said)]))
    with suppress(yaml.YAMLError):
        if yaml.safe_load(text) == (yaml.safe_load(before) or {}) | said:
            return text
    raise DocumentError([f"Add it to {place} yourself, as its last key: {as_yaml(said).strip()}"])
