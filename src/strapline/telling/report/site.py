"""How pages are made: one Jinja environment that takes every word from outside for text."""

import functools
import re
from pathlib import Path
from typing import Any
from urllib.parse import quote

import jinja2
from markupsafe import Markup

from strapline.ground import vocabulary, words
from strapline.ground.settings import Presentation
from strapline.ground.vocabulary import ALL_ACTIVITIES
from strapline.ground.words import plain
from strapline.telling.charts.picture import SOURCE
from strapline.telling.report import pages, phrases
from strapline.telling.report.page import Context, Page

_TEMPLATES = Path(__file__).parent / "templates"


# No line begins with a percent sign. Looking back comes last, since it takes longest.
_PERCENT = re.compile(r" %(?<=\d %)")


def rendered(page: Page, presentation: Presentation, context: Context, public: bool = False) -> str:
    """The page, with every string in `context` escaped and stripped of direction marks; `public`:
    as an audience gets it."""
    around = {
        "here": page.within or page.file,
        "root": page.root,
        "navigation": navigation(public),
        "public": public,
        "presentation": presentation,
    }
    text = _environment().get_template(page.template).render(around | context)
    return _PERCENT.sub("\u00a0%", text)


def navigation(public: bool = False) -> dict[str, str]:
    """What every page links to, from the report's folder, and the word for it."""
    return {p.file: p.word for p in pages.PAGES if p.word and (p.public or not public)}


@functools.cache
def _environment() -> jinja2.Environment:
    environment = jinja2.Environment(
        loader=jinja2.FileSystemLoader(_TEMPLATES),
        autoescape=True,
        finalize=_as_text,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters.update(
        number=words.number,
        percent=words.percent,
        in_words=words.in_words,
        counted=words.counted,
        path=lambda name: quote(name, safe=""),
    )
    environment.globals.update(
        caution=phrases.CAUTION,
        views=vocabulary.VIEWS,
        worn_by=words.worn_by,
        source_ending=SOURCE,
        ALL_ACTIVITIES=ALL_ACTIVITIES,
    )
    return environment


def _as_text(value: Any) -> Any:
    return plain(value) if isinstance(value, str) and not isinstance(value, Markup) else value
