"""Write a session's card from what was inferred, and ask only what no file can know. What it asks
is added to a card that it wrote.

With --answers it asks nothing, for example: --answers wearer=june grey-watch.placement=left_wrist
"""

import argparse
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any

from strapline.ground.documents import DocumentError, as_yaml, parse, validated
from strapline.ground.files import write_text
from strapline.ground.records.card import FILE_NAME, Card
from strapline.ground.records.intake import SessionIntake, read_intake
from strapline.ground.vocabulary import UNSTATED
from strapline.ground.words import plain
from strapline.reading.session.questions import (
    PLACEMENT,
    Question,
    card_content,
    completed,
    is_answered,
    questions,
)
from strapline.running.asked import among, session_of
from strapline.running.commands import bench

Content = Callable[[Mapping[str, str]], dict[str, Any]]


def describe(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("session", help=bench.SESSION)
    parser.add_argument(
        "--answers", nargs="+", metavar="KEY=ANSWER", help="what it would ask, such as wearer=june"
    )
    bench.describe(parser)


def run(options: argparse.Namespace) -> int:
    """1 where an answer does not fit; the others are written."""
    own = bench.read(options)
    session = session_of(own.results, options.session)
    intake = read_intake(own.results / "sessions" / session / "intake.json")
    place = place_of_card(own.inbox, intake)
    before = parse(place) if place.exists() else {}
    validated(before, Card, FILE_NAME)
    wearers = sorted({*own.sessions["wearer"].map(str)} - {UNSTATED})
    every = questions(intake, own.register.devices, wearers)
    asked = [each for each in every if not is_answered(each.key, intake, before)]
    if before:
        _must_be_as_written(place, before, asked)

    def content(said: Mapping[str, str]) -> dict[str, Any]:
        made = card_content(intake, said, own.settings.clock.time_zone)
        whole = completed(before, made)
        validated(whole, Card, FILE_NAME)
        return whole

    answers, unfit = _answers(options.answers, asked, content)
    write_text(place, as_yaml(content(answers)))
    print(f"The card is {plain(str(place))}. Type `snakemake` to use it.")
    _list("These answers do not fit, so they are not in it:", unfit)
    open_ = [f"{each.key} ({each.text})" for each in asked if each.key not in answers]
    _list("Not answered; add to the card what you know:", open_)
    return 1 if unfit else 0


def _must_be_as_written(place: Path, card: dict[str, Any], asked: Sequence[Question]) -> None:
    """Raises DocumentError where a card says all that is asked, or has what writing it again would
    lose: a comment, an order of its own."""
    if not asked:
        raise DocumentError(f"{place} is there already, and nothing is left to ask.")
    if place.read_text("utf-8") != as_yaml(card):
        missing = [f"  {each.key} ({each.text})" for each in asked]
        heading = f"{place} is there already, as you wrote it. Add to it what you know:"
        raise DocumentError(heading, *missing)


def _list(heading: str, lines: Sequence[str]) -> None:
    for line in [heading, *(f"  {line}" for line in lines)] if lines else ():
        print(line)


def place_of_card(inbox: Path, intake: SessionIntake) -> Path:
    """Where the card is, or is to be. Raises DocumentError where there is no session."""
    folder = inbox / intake.title
    place = folder / FILE_NAME if folder.is_dir() else inbox / f"{intake.title}.yaml"
    if not (folder.is_dir() or any((inbox / e.file).is_file() for e in intake.recordings)):
        raise DocumentError(f"{inbox} holds no session {plain(intake.title)} any more.")
    return place


def _answers(
    given: Sequence[str] | None, asked: Sequence[Question], content: Content
) -> tuple[dict[str, str], list[str]]:
    """Those that fit, and a sentence on each other one; who is asked is asked until one fits.
    `content`: of a card with answers; raises DocumentError where they do not fit."""
    fits: dict[str, str] = {}
    if given is None:
        # What is piped in may end before all is asked.
        with suppress(EOFError):
            for question in asked:
                fits |= _asked(question, fits, content)
        return fits, []
    unfit = []
    for pair in given:
        try:
            fits |= _fitting(*_key_and_answer(pair, asked), fits, content)
        except DocumentError as error:
            unfit += [f"{plain(pair)}: {mistake}" for mistake in error.mistakes]
    return fits, unfit


def _key_and_answer(pair: str, asked: Sequence[Question]) -> tuple[str, str]:
    key, is_pair, answer = pair.partition("=")
    if not is_pair:
        raise DocumentError("that is not an answer; write it as key=answer.")
    return among("question", key, [question.key for question in asked]), answer


def _asked(question: Question, known: Mapping[str, str], content: Content) -> dict[str, str]:
    hint = f" ({', '.join(question.choices)})" if question.choices else ""
    answer = input(f"{question.text}{hint} ").strip()
    try:
        return _fitting(question.key, answer, known, content)
    except DocumentError as error:
        print(f"{error}\nAnswer again, or press Enter to leave it out.")
        return _asked(question, known, content)


def _fitting(key: str, answer: str, known: Mapping[str, str], content: Content) -> dict[str, str]:
    """The answer, nothing where it is empty. Raises DocumentError where it does not go with what is
    `known`."""
    if key.endswith(f".{PLACEMENT}"):
        answer = "_".join(answer.lower().split())
    own = {key: answer} if answer else {}
    content({**known, **own})
    return own
