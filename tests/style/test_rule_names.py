"""All rules share one room for names: one that is given twice would mean two things."""

import re
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
GIVEN = re.compile(r"^(?:(\w+) = |def (\w+)\(|from \S+ import (.+))", re.MULTILINE)


def test_no_name_of_the_rules_is_given_twice():
    files = [ROOT / "Snakefile", *(ROOT / "workflow" / "rules").glob("*.smk")]
    given = [found for file in files for found in GIVEN.findall(file.read_text("utf-8"))]
    names = Counter(name for found in given for part in found for name in re.findall(r"\w+", part))
    assert len(names) > 10
    assert [name for name, count in names.items() if count > 1] == []
