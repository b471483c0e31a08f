"""Method page: settings, what they mean and fingerprints -> the page that tells the method, and
the same as Markdown; and the page of our words."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from strapline.ground.files import write_text
from strapline.telling.report.glossary import GLOSSARY
from strapline.telling.report.method_page import METHOD, context
from strapline.telling.report.method_told import markdown
from strapline.telling.report.site import rendered

if TYPE_CHECKING:
    from strapline.ground.settings import Criteria, Presentation, Tolerance


def run(
    *,
    page: str,
    text: str,
    glossary: str,
    in_force: str,
    meanings: str,
    fingerprints: str,
    presentation: Presentation,
    tolerance: Tolerance,
    criteria: Criteria,
) -> None:
    """`in_force`, `meanings` and `fingerprints`: JSON of all settings by section, of what they
    mean by dotted name, and of each stage's fingerprint."""
    shown = context(
        json.loads(in_force), json.loads(meanings), json.loads(fingerprints), tolerance, criteria
    )
    write_text(page, rendered(METHOD, presentation, shown))
    write_text(text, markdown(shown["told"]))
    write_text(glossary, rendered(GLOSSARY, presentation, GLOSSARY.context()))
