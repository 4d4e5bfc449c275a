"""The export for those who have nothing but its README."""

import csv
import io
import zipfile

import pytest
from django.utils import timezone

from ledger.finds.models import Photo
from ledger.handing_on.choices import ALL, Choices
from ledger.handing_on.streams import stream
from ledger.people.models import Member
from tests.ledger.handing_on.scene import Scene, make_scene

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


@pytest.fixture
def scene(collector: Member, curator: Member) -> Scene:
    return make_scene(collector, curator)


@pytest.fixture
def files(scene: Scene) -> zipfile.ZipFile:
    choices = Choices(kind="readable", which=ALL, photos=True, year_to=2030)
    return zipfile.ZipFile(io.BytesIO(b"".join(stream(choices, now=timezone.now()))))


def readme(files: zipfile.ZipFile) -> str:
    return " ".join(files.read("README.txt").decode().split())


def test_the_readme_says_what_is_here_and_what_was_chosen(files: zipfile.ZipFile) -> None:
    text = readme(files)
    assert "every trait that was looked at, and other facts of a find (" in text
    assert (
        "by Hollin Fungus Group, England. Here are: all finds" in text and "up to 2030, with photos" in text
    )


def test_the_readme_explains_the_words_that_stand_in_the_tables(files: zipfile.ZipFile) -> None:
    text = readme(files)
    for word in (
        "collecting number",
        "accession number",
        "cf.",
        "aff.",
        "Settled",
        "cannot say",
        "not named here",
    ):
        assert word in text, word


def test_every_file_is_told_of(files: zipfile.ZipFile) -> None:
    text = readme(files)
    for name in set(files.namelist()) - {"README.txt"}:
        assert name in text or f"{name.partition('/')[0]}/" in text, name


def test_a_photograph_is_called_by_the_number_of_its_find(files: zipfile.ZipFile, scene: Scene) -> None:
    rows = list(csv.DictReader(io.StringIO(files.read("photos.csv").decode())))
    photos = [name for name in files.namelist() if name.startswith("photos/")]
    assert (
        sorted(row["file"] for row in rows) == sorted(photos)
        and len(photos)
        == Photo.objects.exclude(find=scene.sensitive, view__in=("place", ""))
        .filter(find__isnull=False)
        .count()
    )
    numbers = {
        row["find_id"]: row["number"] for row in csv.DictReader(io.StringIO(files.read("finds.csv").decode()))
    }
    for row in rows:
        assert row["file"].startswith(f"photos/{numbers[row['find_id']].replace(' ', '-')}-")
