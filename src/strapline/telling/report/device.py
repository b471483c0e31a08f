"""The page of one device: at each activity, and in all its sessions."""

from strapline.ground.report_files import DEVICE_PAGE
from strapline.ground.vocabulary import ALL_ACTIVITIES, Verdict
from strapline.method.agreement.possible import WIDEST_BPM
from strapline.method.agreement.votes import that_count
from strapline.method.claims.evidence import Policy
from strapline.telling.archive_tables import DeviceTables
from strapline.telling.charts.shown import Pictures
from strapline.telling.report import apps, archive
from strapline.telling.report.classes import market_words
from strapline.telling.report.faults import device_faults
from strapline.telling.report.outlines import MARKED, REACH, outlines
from strapline.telling.report.own_record import unlike_itself
from strapline.telling.report.page import Context, Page
from strapline.telling.report.standings import from_best, lead, over_all_words, standing_rows


def context(tables: DeviceTables, policy: Policy, pictures: Pictures) -> Context:
    """How closely it follows the strap, what is claimed of it, what goes wrong with it."""
    own, device, labels = tables.own, tables.device, tables.archive.labels
    evidence = own.evidence(policy).of_device(device)
    standings = standing_rows(own.standings, own.faults, labels)
    sessions = archive.own_rows(own)
    over_all = any(row.over_all for row in standings)
    claims = [
        (at, said)
        for at, said in evidence.claims_by_activity(labels)
        if over_all or at != ALL_ACTIVITIES
    ]
    worst = from_best(standings)
    faults = device_faults(device, tables.label, own.faults, own.conditions, policy.claims)
    return {
        "tolerance": policy.tolerance,
        "label": tables.label,
        "lead": lead(standings, evidence.firmwares().get(device, ())),
        "weakness": faults.weakness.get(worst[-1].activity, "") if worst else "",
        "over_all": over_all_words(tables.archive.standings, bool(policy.over_all.activities)),
        "standings": standings,
        "apps": apps.over_sessions(own.apps, device, tables.label),
        "claims": claims,
        "known": [(at, c) for at, said in claims for c in said if c.verdict != Verdict.NOT_YET],
        "findings": evidence.finding_rows(labels),
        "criteria": policy.criteria_met,
        "widest_bpm": WIDEST_BPM,
        "margin_bpm": policy.equivalence.margin_bpm,
        "changes": evidence.firmware_claims(labels),
        "faults": faults,
        "outlines": outlines(device, that_count(own.courses, own.placements), own.sessions),
        "reach": REACH,
        "edge": MARKED + 1,
        "market": market_words(tables.archive.devices).get(device, ""),
        "sessions": sessions,
        "unlike": list(unlike_itself(((s, device, s["mae"]) for s in sessions), standings)),
        "pictures": pictures,
    }


DEVICE = Page(DEVICE_PAGE, "site", "device.html", context, public=True)
