def test_lint(check):
    check("ruff", "check", ".")


def test_format(check):
    check("ruff", "format", "--check", ".")
