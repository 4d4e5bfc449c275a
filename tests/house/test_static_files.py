"""The collected static files: every module is reached under a name that changes with its content."""

import re
from pathlib import Path

import pytest

from ledger.static_tree import modules_of
from tests.running import RunningLedger

ROOT = Path(__file__).resolve().parents[2]
STATIC = ROOT / "static"
HASHED = re.compile(r"\.[0-9a-f]{12}\.\w+$")
MODULES = sorted(path.relative_to(STATIC).as_posix() for path in STATIC.rglob("*.js"))
IMPORTED = re.compile(r"""(?:\bfrom\s*|\bimport\s*\(?\s*)["'](\.[^"']+)["']""")


@pytest.fixture(scope="module")
def collected(tmp_path_factory: pytest.TempPathFactory) -> Path:
    ledger = RunningLedger(tmp_path_factory.mktemp("ledger"))
    ledger.manage("collectstatic", "--noinput", "--verbosity", "0")
    return ledger.var / "static"


def test_every_import_of_a_collected_module_has_the_name_with_the_hash(collected: Path) -> None:
    plain, lost = [], []
    for path in collected.rglob("*.js"):
        if not HASHED.search(path.name):
            continue
        for target in IMPORTED.findall(path.read_text()):
            if not HASHED.search(target):
                plain.append((path.name, target))
            elif not (path.parent / target).exists():
                lost.append((path.name, target))
    assert plain == []
    assert lost == []


def test_imports_are_there_to_be_rewritten(collected: Path) -> None:
    worker = next(path for path in (collected / "js/phone").glob("worker.*.js") if HASHED.search(path.name))
    assert re.search(r'from "\./outbox\.[0-9a-f]{12}\.js";', worker.read_text())


@pytest.mark.parametrize("name", MODULES)
def test_no_module_imports_itself_in_a_circle(name: str) -> None:
    """Names with a hash of the content cannot be given in a circle: each would wait for the other's."""
    for other in modules_of(name, later=True)[1:]:
        assert name not in modules_of(other, later=True)
