"""A folder with spaces and umlauts, files for nobody else, no language, a time zone far away: the
demo of one session as README's first command runs it. (All other commands are typed in such a
folder in test_first_session.py.)"""

import shutil
import subprocess
import sys

import pytest
import yaml
from project import FAR_AWAY, FOR_NOBODY_ELSE, Project

from mishaps.bench import NO_RESULTS
from strapline.ground.files import sha256_of
from strapline.keeping.receipts import files_in

DOCUMENTS = {"settings": "config/demo/settings.yaml", "devices": "config/demo/devices.yaml"}


@pytest.fixture(scope="module")
def there(tmp_path_factory, repository):
    """The project there, after its demo."""
    folder = tmp_path_factory.mktemp("there") / "Mein Prüf Ördner"
    folder.mkdir()
    project = Project(folder, repository)
    path = folder / "config" / "demo" / "bench.yaml"
    bench = yaml.safe_load(path.read_text("utf-8"))
    bench["sessions"] = [s for s in bench["sessions"] if s["activity"] == "run"][:1]
    path.write_text(yaml.safe_dump(bench), encoding="utf-8")
    project.snakemake("demo", umask=FOR_NOBODY_ELSE, **FAR_AWAY)
    return project


def tables(results):
    return {
        path.relative_to(results).as_posix(): sha256_of(path)
        for path in files_in(results)
        if path.name not in NO_RESULTS and not {"inbox", "editions"} & set(path.parts)
    }


def test_the_results_are_those_of_any_other_folder(there, with_looks, tmp_path, run_workflow):
    shutil.copytree(there.results / "demo" / "inbox", tmp_path / "inbox")
    documents = [f"{name}={there.folder / path}" for name, path in DOCUMENTS.items()]
    run_workflow(with_looks(tmp_path), "--config", *documents)
    assert tables(there.results / "demo") == tables(tmp_path / "results")


def test_what_is_made_is_for_nobody_else(there):
    assert not [path for path in files_in(there.results) if path.stat().st_mode & 0o077]


def test_what_the_tester_says_lies_where_it_is_run(repository, tmp_path):
    """And not where the workflow is, for commands look there too."""

    def snakemake():
        words = [sys.executable, "-m", "snakemake", "-n", "--snakefile", repository / "Snakefile"]
        return subprocess.run(words, cwd=tmp_path, capture_output=True, text=True, check=False)

    (tmp_path / "inbox").mkdir()
    refused = snakemake()
    assert refused.returncode == 2
    assert f"type `cp -r {repository}/config .`" in refused.stderr
    shutil.copytree(repository / "config", tmp_path / "config")
    assert snakemake().returncode == 0
    (tmp_path / "config" / "settings.yaml").write_text("tolerance: {beets: 4}\n")
    refused = snakemake()
    assert refused.returncode == 2 and "did you mean 'beats'?" in refused.stderr
