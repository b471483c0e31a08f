"""How pages are made: one Jinja environment that takes every word from outside for text."""

import functools
import re
from pathlib import Path
from typing import Any
from urllib.parse import quote

import jinja2
from markupsafe import Markup

from strapline.ground import vocabulary, words
from strapline.ground.vocabulary import ALL_ACTIVITIES
from strapline.ground.words import plain
from strapline.telling.charts import theme
from strapline.telling.report import phrases

STYLESHEET = "style.css"
SCRIPT = "site.js"

_TEMPLATES = Path(__file__).parent / "templates"


# What every page links to, from the report's folder.
NAVIGATION = {
    "index.html": "Archive",
    "sessions.html": "Sessions",
    "head-to-head.html": "Head to head",
    "changes.html": "Changes",
    "method.html": "Method",
    "data.html": "Data",
    "plan.html": "Plan",
    "checklist.html": "Checklist",
}


# No line begins with a percent sign. Looking back comes last, since it takes longest.
_PERCENT = re.compile(r" %(?<=\d %)")


def page(template: str, here: str, root: str = "", **context: Any) -> str:
    """The page, with every string in `context` escaped and stripped of direction marks.

    `here` is the page's own address in the report, `root` leads from it to the report's folder.
    """
    rendered = _environment().get_template(template).render(context, here=here, root=root)
    return _PERCENT.sub("\u00a0%", rendered)


def stylesheet() -> str:
    """The style sheet of all pages, with its letters inside: the site needs no network."""
    return "\n".join([*theme.faces(), (_TEMPLATES / STYLESHEET).read_text("utf-8")])


def script() -> str:
    """The script of all pages; without it they can still be read."""
    return (_TEMPLATES / SCRIPT).read_text("utf-8")


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
        worn_by=words.worn_by,
        path=lambda name: quote(name, safe=""),
    )
    environment.globals.update(
        caution=phrases.CAUTION,
        views=vocabulary.VIEWS,
        navigation=NAVIGATION,
        ALL_ACTIVITIES=ALL_ACTIVITIES,
    )
    return environment


def _as_text(value: Any) -> Any:
    return plain(value) if isinstance(value, str) and not isinstance(value, Markup) else value
