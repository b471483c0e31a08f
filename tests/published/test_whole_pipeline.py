"""Published tables, sent through the whole pipeline as recordings of one sample a second.

'Printed' is what the publication says after its own rounding; the exact value is recomputed
from its table. Sources of the tables stand in data/SOURCES.md.
"""

import datetime as dt
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from strapline.ground.records.alignment import SessionAlignment
from strapline.ground.tables.archive import FINDINGS
from strapline.ground.tables.sessions import ALIGNED, METRICS
from strapline.method.agreement.limit_intervals import known_limits
from strapline.method.agreement.repeated_measures import SubjectSummaries

DATA = Path(__file__).parent / "data"
START = dt.datetime(2026, 3, 1, 10, tzinfo=dt.UTC)

# Two tables are not heart rates: flows in litres a minute, arbitrary units, from 1 to 1001. They
# are brought to where heart rates are. Differences are then a tenth of those published;
# concordance stays what it is (Lin 1989: it does not change with scale and origin of both).
SMALLER, ADDED = 10, 80
# A third is of litres a minute of one digit.
LARGER = 10

# Nor do they follow each other as heart rates do.
SETTINGS = "reference: {largest_step_bpm: 100, largest_rise: 5, largest_fall: 5}"

# Some pairs are no session: each subject's are given again and again for as long as one lasts,
# which 3, 4, 5 and 6 pairs all divide. That changes no mean, and no variance over n.
REPEATED_S = 420

CARD = """\
recordings:
  - {file: reference.csv, device: reference, role: reference}
  - {file: device.csv, device: device, own_sensor: true}
"""


CARDIAC_CARD = """\
activity: rest
recordings:
  - {file: reference.csv, device: reference, role: reference}
  - {file: device.csv, device: device, own_sensor: true, clock: {offset_s: 0}}
"""


def write_session(folder: Path, reference: list[float], device: list[float]) -> None:
    folder.mkdir(parents=True)
    (folder / "session.yaml").write_text(CARD)
    for name, values in {"reference": reference, "device": device}.items():
        rows = [
            f"{(START + dt.timedelta(seconds=n)).isoformat()},{value}"
            for n, value in enumerate(values)
        ]
        (folder / f"{name}.csv").write_text("\n".join(["time,heart_rate", *rows]) + "\n")


def as_rates(values: pd.Series) -> list[float]:
    return list(ADDED + values / SMALLER)


@pytest.fixture(scope="module")
def results(tmp_path_factory, run_workflow):
    folder = tmp_path_factory.mktemp("published")
    inbox = folder / "inbox"
    table = pd.read_csv(DATA / "giavarina2015.csv")
    write_session(inbox / "giavarina", as_rates(table["Method B"]), as_rates(table["Method A"]))
    table = pd.read_csv(DATA / "pefr_ba1986.csv")
    write_session(inbox / "pefr", as_rates(table["mini1"]), as_rates(table["wright1"]))
    table = pd.read_csv(DATA / "delay7_synthetic.csv")
    write_session(inbox / "delay", list(table["ref"]), list(table["dev_delay7"]))
    write_session(inbox / "percent", [139, 115, 163], [107, 78, 136])
    table = pd.read_csv(DATA / "cardiac_output_ba1999_table4.csv")
    for subject, pairs in table.groupby("item"):
        again = pd.concat([pairs] * (REPEATED_S // len(pairs)))
        sides = [list(ADDED + LARGER * again[side]) for side in ("IC", "RV")]
        write_session(inbox / f"cardiac-{subject:02}", *sides)
        (inbox / f"cardiac-{subject:02}" / "session.yaml").write_text(CARDIAC_CARD)
    (folder / "settings.yaml").write_text(SETTINGS)
    wanted = [f"results/sessions/{path.name}/metrics.parquet" for path in inbox.iterdir()]
    wanted.append("results/archive/findings.parquet")
    run_workflow(folder, *wanted, "--config", "settings=settings.yaml")
    return folder / "results"


@pytest.fixture(scope="module")
def figure(results):
    table = METRICS.read(sorted(results.glob("sessions/*/metrics.parquet")))

    def value(session: str, metric: str, alignment: str = "settled") -> float:
        rows = table[
            (table["session"] == session)
            & (table["metric"] == metric)
            & (table["alignment"] == alignment)
            & (table["scope"] == "whole")
        ]
        return float(rows["value"].item())

    return value


def test_giavarina(figure):
    # Printed: bias -27.17, SD 34.81, limits -95.39 and 41.05.
    assert SMALLER * figure("giavarina", "bias") == pytest.approx(-27.17, abs=0.005)
    assert SMALLER * figure("giavarina", "sd_of_differences") == pytest.approx(34.81, abs=0.005)
    assert SMALLER * figure("giavarina", "limit_lower") == pytest.approx(-95.39, abs=0.005)
    assert SMALLER * figure("giavarina", "limit_upper") == pytest.approx(41.05, abs=0.005)
    # Computed from the table with a general-purpose library.
    assert figure("giavarina", "concordance") == pytest.approx(0.9915429, abs=1e-7)


def test_bland_and_altman_1986(figure):
    # Printed: bias -2.1, SD 38.8 (limits with k = 2, -79.7 and 75.5). Exact, k = 1.96:
    assert SMALLER * figure("pefr", "bias") == pytest.approx(-2.117647, abs=1e-6)
    assert SMALLER * figure("pefr", "sd_of_differences") == pytest.approx(38.76513, abs=1e-5)
    assert SMALLER * figure("pefr", "limit_lower") == pytest.approx(-78.097, abs=1e-3)
    assert SMALLER * figure("pefr", "limit_upper") == pytest.approx(73.862, abs=1e-3)
    assert figure("pefr", "concordance") == pytest.approx(0.9427424, abs=1e-7)


def test_a_delay_of_seven_seconds(figure, results):
    # Stated with the table: true delay 7 s, before alignment MAE 2.64225, RMSE 3.99511,
    # MAPE 2.7305.
    assert figure("delay", "mae") == pytest.approx(2.64225, abs=1e-5)
    assert figure("delay", "rmse") == pytest.approx(3.99511, abs=1e-5)
    assert figure("delay", "mape") == pytest.approx(2.7305, abs=1e-4)
    assert figure("delay", "mae", "delay_out") < 0.3
    document = (results / "sessions/delay/alignment.json").read_bytes()
    decision = SessionAlignment.model_validate_json(document).clocks[0]
    assert (decision.decision, decision.offset_s) == ("refused", 0)
    assert decision.delay_s == pytest.approx(7, abs=0.5)


def test_percent_differences_are_of_the_reference(figure):
    # Common practice, no source: means 139 and 107 read -23.0 %, maxima 163 and 136 -16.6 %.
    assert figure("percent", "mean_reference") == 139
    assert figure("percent", "mean_device") == 107
    assert figure("percent", "bias_percent") == pytest.approx(-23.0, abs=0.05)
    assert figure("percent", "maximum_difference_percent") == pytest.approx(-16.6, abs=0.05)


def test_every_figure_can_be_had_from_the_aligned_rows(figure, results):
    for session in ("giavarina", "pefr", "delay"):
        rows = ALIGNED.read(results / "sessions" / session / "aligned.parquet")
        rows = rows[(rows["alignment"] == "settled") & (rows["status"] == "compared")]
        error = np.abs(rows["device_bpm"] - rows["reference_bpm"])
        assert figure(session, "mae") == pytest.approx(error.mean(), rel=1e-12)
        assert figure(session, "absolute_error_p95") == pytest.approx(error.quantile(0.95))


@pytest.fixture(scope="module")
def repeated(results):
    """Statistics of the repeated measures over their sessions, by name."""
    table = FINDINGS.read(results / "archive/findings.parquet")
    return table[table["activity"] == "rest"].set_index("statistic")


def test_repeated_measures_each_subject_counting_alike(repeated):
    # Bland & Altman 1999, table 4: the mean of subjects' mean differences is 0.7092.
    assert repeated["value"]["bias"] / LARGER == pytest.approx(0.7092, abs=5e-5)
    assert set(repeated["sessions"]) == {12}
    # Computed from the table: subjects' means over k - 1, their variances over n.
    table = pd.read_csv(DATA / "cardiac_output_ba1999_table4.csv")
    subjects = (table["RV"] - table["IC"]).groupby(table["item"])
    sd = np.sqrt(subjects.mean().var() + subjects.var(ddof=0).mean())
    for side, name in ((-1, "limit_lower"), (1, "limit_upper")):
        limit = subjects.mean().mean() + side * 1.96 * sd
        assert repeated["value"][name] / LARGER == pytest.approx(limit, abs=1e-6)


def test_repeated_measures_of_four_subjects(figure):
    # Zou 2013 on the first four subjects of that table, in values of a public statistics package's
    # tests: bias 0.7255, limits -2.14 and 3.59. No limit of four sessions is told, so they are had
    # here from the sessions' figures, by the function that findings use.
    of_sessions = [
        [figure(f"cardiac-{subject:02}", metric) for subject in range(1, 5)]
        for metric in ("bias", "sd_of_differences")
    ]
    mean, sd = np.array(of_sessions) / LARGER
    limits = known_limits(SubjectSummaries(np.full(4, REPEATED_S), mean, sd**2)).limits
    assert limits.bias == pytest.approx(0.7255, abs=5e-5)
    assert (limits.lower, limits.upper) == pytest.approx((-2.14, 3.59), abs=0.005)
