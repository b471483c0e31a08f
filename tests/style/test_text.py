"""What no linter reads."""


def test_no_line_of_the_workflow_is_too_long(repository):
    files = [repository / "Snakefile", *(repository / "workflow" / "rules").glob("*.smk")]
    lines = [line for file in files for line in file.read_text("utf-8").splitlines()]
    assert len(lines) > 500
    assert not [line for line in lines if len(line) > 100]
