"""The page of one session: what each device did, and where every second went."""

from strapline.ground.records.alignment import set_aside
from strapline.ground.report_files import SESSION_PAGE
from strapline.ground.vocabulary import Clocks
from strapline.ground.words import tolerance_words
from strapline.method.claims.usable import usability
from strapline.method.metrics import registry
from strapline.method.metrics.figures import Figures
from strapline.telling.charts.shown import Pictures
from strapline.telling.report import apps, consequences, phrases, session
from strapline.telling.report.explorer import seconds_of
from strapline.telling.report.page import Context, Page
from strapline.telling.session_tables import SessionTables

# What a reader acts on, and what is for experts.
MAIN = [metric for metric in registry.METRICS if metric.main]
MORE = [metric for metric in registry.METRICS if not metric.main]


def context(tables: SessionTables, pictures: Pictures) -> Context:
    """Sentences first, then figures, then what they rest on."""
    intake, tolerance, ledger = tables.intake, tables.tolerance, tables.ledger
    figures, metrics = Figures(tables.metrics), tables.metrics
    seconds = tables.aligned[tables.aligned["alignment"] == Clocks.SETTLED]
    maximum = ledger.maximum_heart_rate
    return {
        "tolerance": tolerance_words(tolerance),
        "close": tolerance,
        "intake": intake,
        "outing": tables.outing,
        "set_aside": set_aside(intake, tables.clocks),
        "usable": usability(intake, tables.clocks, ledger),
        "metrics": metrics,
        "circumstances": phrases.circumstances(intake, tables.worn_by),
        "without_intervals": session.without_intervals(tables, figures),
        "has_intervals": metrics["ci_low"].notna().any(),
        "findings": session.findings(intake, tables.sentences, tables.clocks, tables.stated),
        "pictures": pictures,
        "glance_rows": session.glance_rows(tables, figures),
        "accounts": session.accounts(intake, tables.sentences),
        "consequences": consequences.section(tables.consequences, intake, maximum),
        "looked_into": seconds_of(seconds, intake),
        "stated": apps.stated_rows(tables.stated, intake),
        "stated_beside": [
            apps.sentences_of(tables.stated, entry.recording)
            for entry in intake.stated
            if entry.has_export
        ],
        "columns": session.columns(intake, figures),
        "main": session.figure_table(intake, figures, MAIN, tolerance),
        "more": session.figure_table(intake, figures, MORE, tolerance),
        "segments": session.segment_rows(intake, figures),
        "effort": session.effort_rows(intake, figures),
        "effort_ground": phrases.effort_sentence(maximum),
        "clocks": session.clock_rows(intake, tables.clocks, tables.offsets),
        "reference": session.reference_sentences(tables.clocks),
        "sensitivity": session.sensitivity_rows(intake, figures),
        "seconds": session.compared_rows(intake, ledger),
        "samples": session.sample_rows(intake, ledger),
        "conditions": session.conditions(intake),
        "names": session.names(intake),
    }


def shown(context: Context) -> dict[str, str]:
    """The figures that the page shows, as it shows them, by their place on the page of origins."""
    tables = (context["main"], context["more"])
    cells = [cell for table in tables for *_, row in table for cell in row]
    return {anchor: value for value, _, anchor in cells if anchor}


SESSION = Page(SESSION_PAGE, "session_page", "session.html", context, public=True)
