"""The command that hashes every original anew."""

import json
from collections.abc import Callable
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from ledger.finds.models import Photo
from tests.factories import FindFactory, make_photo, picture

pytestmark = pytest.mark.django_db


@pytest.fixture
def run() -> Callable[..., tuple[str, str]]:
    def command(*arguments: str) -> tuple[str, str]:
        out, error = StringIO(), StringIO()
        problem = ""
        try:
            call_command("verify_photos", *arguments, stdout=out, stderr=error)
        except CommandError as refusal:
            assert refusal.returncode == 1
            problem = str(refusal)
        return out.getvalue(), problem

    return command


def kept(number: int) -> Photo:
    """The photo of a find, another picture for another number."""
    find = FindFactory()
    return make_photo(find=find, by=find.finder, data=picture(size=(300 + number, 200)))


def path_of(photo: Photo) -> Path:
    return Path(photo.original.path)


def test_originals_as_they_came_are_counted(run: Callable[..., tuple[str, str]]) -> None:
    kept(1)
    said, problem = run()
    assert (said.strip(), problem) == ("1 originals are as they came.", "")


def test_one_changed_bit_is_found_and_named(run: Callable[..., tuple[str, str]]) -> None:
    photo = kept(1)
    data = bytearray(path_of(photo).read_bytes())
    data[len(data) // 2] ^= 1
    path_of(photo).write_bytes(data)
    said, problem = run()
    assert f"{photo.original.name} ({photo.find}) is not the photo that came" in said
    assert "1 changed" in problem


def test_a_missing_original_is_named_as_json(run: Callable[..., tuple[str, str]]) -> None:
    photo = kept(1)
    path_of(photo).unlink()
    said, _ = run("--json")
    finding, total = map(json.loads, said.splitlines())
    assert (finding["what"], finding["photo"]) == ("missing", str(photo.pk))
    assert total == {"photos": 1, "wrong": {"missing": 1}}


def test_the_others_are_still_read_after_a_bad_one(run: Callable[..., tuple[str, str]]) -> None:
    first = kept(1)
    kept(2)
    path_of(first).unlink()
    _, problem = run()
    assert "Of 2 originals: 1 missing" in problem
