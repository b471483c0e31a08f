"""The text in a package that says what it holds and how to check it."""

from collections.abc import Sequence

from strapline.ground.records.intake import SessionIntake
from strapline.ground.versions import told
from strapline.ground.words import plain
from strapline.keeping.made_with import computed_with
from strapline.keeping.receipts import Receipt

NAME = "ABOUT-THIS-PACKAGE.md"
SUMS, ALL_SUMS = "results.sha256", "package.sha256"

_BEGINNING = """\
# The session {session}

A heart-rate test session, made by Strapline: wrist devices compared with a reference.
{corrected}
- `inbox/`: {inbox}
- `results/sessions/{session}/`: every table between an export and a figure, the figures
  (`metrics.parquet`), where every sample and second went (`ledger.json`), and the pictures.
- `results/report/sessions/{session}.html`: the session's page; beside it where its figures come
  from, and as JSON the figures it shows. Links to pages on other sessions lead nowhere here.
- `drawings/`: the pictures as SVG. The page draws them itself, where JavaScript is on.
- `results/receipts/`: of each job, what it read and wrote, by SHA-256, with its settings.
- `config/`: the settings, and the register of devices as far as the session used it, and
  `versions.txt`: the versions, all as these results were made with. {versions}
- `src/`, `workflow/`, `Snakefile`: Strapline itself; the report it writes has the formulas, on
  the page Method.
- `package.sha256`: the SHA-256 of every file; in this folder, `sha256sum --check package.sha256`
  tells whether one has been altered.

Readings of consumer sensors and chest straps are not medical measurements: do not judge anybody's
health by them. {privacy}

Strapline itself is under the MIT licence, see LICENSE. For the recordings and the figures no
licence is stated: ask whoever gave you this package.

"""

_RERUN = """\
## To make it again

With Python 3.11 or later, in this folder:

```sh
python3 -m venv .venv && . .venv/bin/activate
pip install -r requirements/run.txt && pip install --no-deps --no-build-isolation -e .
snakemake --config results=again
cd again && sha256sum --check ../{sums}
```

(`shasum -a 256 --check` where there is no `sha256sum`.) Every file must be reported as OK: tables,
pictures and page come out the same to the byte. (Where other versions are installed than in
`versions.txt`, receipts and the page of origins name these.)
"""

_NO_RERUN = """\
## To check it

In this folder, `cd results && sha256sum --check ../{sums}` tells whether a file has been altered.
Making it again needs the raw exports, which were left out; ask for them. They must have these
SHA-256:

{wanted}
"""

_CARD_ALONE = "the card, as far as there is one; the raw exports were left out"
_ALL = "the raw exports, untouched, and the card, as far as there is one"
_WITH_RAW = (
    "The raw exports may hold positions, among them of a home, and serial numbers; their names, "
    "which stand in `intake.json` and the receipts too, may hold a person's; the card and "
    "`intake.json` hold what was said of the wearer: think before you pass them on."
)
_WITHOUT_RAW = (
    "`intake.json` and the receipts hold what the raw exports are called, which may be a person's "
    "name; the card and `intake.json` hold what was said of the wearer: think before you pass them "
    "on."
)


def explanation(
    intake: SessionIntake, left_out: Sequence[tuple[str, str]], receipts: Sequence[Receipt]
) -> str:
    """`left_out`: name and SHA-256 of each raw export that is not in the package."""
    text = _BEGINNING.format(
        session=intake.session,
        corrected=f"\nCorrected: {plain(intake.correction)}\n" if intake.correction else "",
        versions=" ".join(told(computed_with(receipts))),
        inbox=_CARD_ALONE if left_out else _ALL,
        privacy=_WITHOUT_RAW if left_out else _WITH_RAW,
    )
    if not left_out:
        return text + _RERUN.format(sums=SUMS)
    wanted = "\n".join(f"    {digest}  {name}" for name, digest in left_out)
    return text + _NO_RERUN.format(sums=SUMS, wanted=wanted)
