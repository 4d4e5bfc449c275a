"""Nothing lies where nobody looks: tests that the runner cannot find, folders that the plan does not name."""

import subprocess
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
TOP = {
    *("manage.py", "pyproject.toml", "README.md", "DEVELOPERS.md", "CHANGELOG.md", "Makefile", "LICENSE"),
    *("requirements.lock", "requirements-dev.lock", ".gitignore", ".gitattributes", ".ci"),
    *("ledger", "vouchers", "templates", "static", "fixtures", "tests"),
}


def _tracked() -> list[str]:
    out = subprocess.run(
        ["git", "ls-files", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT, capture_output=True, text=True, check=True,
    )  # fmt: skip
    return out.stdout.splitlines()


def test_the_top_level_holds_what_the_plan_names_and_no_more() -> None:
    assert {name.split("/")[0] for name in _tracked()} <= TOP


def test_every_file_with_tests_is_named_so_that_the_runner_finds_it() -> None:
    lost = [
        name
        for name in _tracked()
        if name.startswith("tests/")
        and name.endswith(".py")
        and not Path(name).name.startswith("test_")
        and "\ndef test_" in (ROOT / name).read_text()
    ]
    assert lost == []


def test_no_test_file_is_empty_of_tests() -> None:
    idle = [
        name
        for name in _tracked()
        if Path(name).name.startswith("test_")
        and name.endswith(".py")
        and "def test_" not in (ROOT / name).read_text()
    ]
    assert idle == []


def test_no_test_is_called_it_works() -> None:
    lazy = [
        name
        for name in _tracked()
        if name.endswith(".py") and "def test_it_" + "works" in (ROOT / name).read_text()
    ]
    assert lazy == []
