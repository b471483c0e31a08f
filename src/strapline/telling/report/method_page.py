"""The page on the method: how every figure is computed, under which settings, by which code."""

from collections.abc import Mapping
from typing import Any

from strapline.ground.report_files import METHOD_PAGE
from strapline.ground.settings import Criteria, Tolerance
from strapline.telling.report.method_told import method_told
from strapline.telling.report.page import Context, Page


def context(
    settings: Mapping[str, Any],
    meanings: Mapping[str, str],
    fingerprints: Mapping[str, str],
    tolerance: Tolerance,
    criteria: Criteria,
) -> Context:
    """All `settings` by section; their `meanings` by dotted name; the fingerprint of each stage."""
    return {
        "told": method_told(settings, meanings, tolerance, criteria),
        "fingerprints": fingerprints,
    }


METHOD = Page(METHOD_PAGE, "method_page", "method.html", context, word="Method", public=True)
