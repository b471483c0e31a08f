"""Say in a session's card why figures that were published change.

Before or after the card or an export is mended. The next run says it on the page Changes, and
writes a text to publish beside the old figures.
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
from strapline.keeping.publications import published
from strapline.running.asked import session_of
from strapline.running.commands import bench
from strapline.running.commands.card import place_of_card
from strapline.running.lines import say

KEY = "correction"


def describe(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("session", help=bench.SESSION)
    parser.add_argument(
        "--why", required=True, metavar="TEXT", help="the reason, in a sentence for your readers"
    )
    bench.describe(parser, bench.INBOX, bench.RESULTS)


def run(options: argparse.Namespace) -> int:
    own = bench.read(options)
    session = session_of(own.results, options.session)
    intake = read_intake(own.results / "sessions" / session / "intake.json")
    place = place_of_card(own.inbox, intake)
    write_text(place, _with(place, {KEY: options.why}))
    said = [
        f"The reason is in {plain(str(place))}. Mend there, or in the exports, what was wrong, and "
        "type `snakemake`. What to publish beside the old figures is then in "
        f"{own.results}/report/corrections.md"
    ]
    if session not in published(own.places).values():
        said.append(
            f"But {own.results}/publish holds nothing of it. What nobody has read needs no "
            f"correction: if you did not publish it otherwise, delete the line `{KEY}` again."
        )
    say(said)
    return 0


def _with(place: Path, said: dict[str, str]) -> str:
    """The card with this reason, in the place of the one before, and otherwise as the tester wrote
    it; a new card leaves all else to be inferred as before. Raises DocumentError."""
    content = parse(place) if place.exists() else {}
    validated(content | said, Card, place.name)
    before = place.read_text("utf-8-sig") if place.exists() else ""
    text = "\n".join(filter(None, [_without(before, KEY).rstrip(), as_yaml(said)]))
    with suppress(yaml.YAMLError):
        if yaml.safe_load(text) == (yaml.safe_load(before) or {}) | said:
            return text
    raise DocumentError(f"Write it in {place} yourself, as its last key: {as_yaml(said).strip()}")


def _without(text: str, key: str) -> str:
    """The text of a YAML mapping without the lines of one of its keys."""
    root = yaml.compose(text, yaml.SafeLoader)
    if not isinstance(root, yaml.MappingNode) or root.flow_style:
        return text
    for name, value in root.value:
        if name.value == key:
            end = value.end_mark.index
            line = text.find("\n", end)
            rest = text[end:] if value.end_mark.column == 0 else text[line:] if line >= 0 else ""
            return text[: name.start_mark.index] + rest.removeprefix("\n")
    return text
