"""When the suite is shared out to two databases, nothing is left out of both."""

import pytest

from tests.shared_suite import BROWSER, DATABASE, TESTS, Module, browser_modules, home_of, is_run, modules


@pytest.mark.parametrize("path", browser_modules(), ids=lambda path: path.name)
def test_each_browser_module_is_run_once(path):
    module = Module(path, frozenset({"browser", "transactional_db"}))
    assert is_run(module, "sqlite") != is_run(module, "postgresql")


def test_both_databases_have_browser_modules():
    homes = [home_of(path) for path in browser_modules()]
    assert abs(homes.count("sqlite") - homes.count("postgresql")) <= 1


def test_sqlite_runs_every_other_module():
    others = [path for path in TESTS.rglob("test_*.py") if path.parent != BROWSER]
    assert others and all(is_run(Module(path, frozenset()), "sqlite") for path in others)


@pytest.mark.parametrize("asked", ["db", "transactional_db", "django_db"])
def test_a_module_of_rows_is_run_on_both(asked):
    module = Module(TESTS / "ledger" / "traits" / "test_units.py", frozenset({asked}))
    assert is_run(module, "sqlite") and is_run(module, "postgresql")


def test_a_module_that_starts_a_command_is_run_on_both():
    assert is_run(Module(TESTS / "ledger" / "backup" / "test_killed.py", frozenset()), "postgresql")


def test_a_module_that_meets_no_database_is_run_once():
    assert not is_run(Module(TESTS / "ledger" / "traits" / "test_units.py", frozenset()), "postgresql")


def test_one_test_that_asks_for_the_database_takes_its_module_along():
    path = TESTS / "ledger" / "traits" / "test_units.py"
    assert modules([(path, ["tmp_path"]), (path, ["db"])])[path].asks_for == {"tmp_path", "db"}


def test_a_test_without_a_database_asks_for_none_by_what_every_test_has(request):
    assert DATABASE.isdisjoint(request.fixturenames)


def test_a_test_with_a_database_is_known_by_what_it_asks_for(request, db):
    assert not DATABASE.isdisjoint(request.fixturenames)
