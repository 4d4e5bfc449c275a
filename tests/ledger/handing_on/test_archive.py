"""The archive holds every value of a find, and gives it back."""

import hashlib
import io
import zipfile
from pathlib import Path
from typing import Any

import pytest
from django.utils import timezone

from ledger.exchange.people import NOT_NAMED
from ledger.exchange.reader import FindIn, open_archive
from ledger.finds.models import Reading
from ledger.handing_on import actions
from ledger.handing_on.choices import ALL, Choices
from ledger.handing_on.streams import stream
from ledger.people.models import Member
from tests.ledger.handing_on.scene import GUEST, NOTE, READINGS, STAMP, Scene, make_scene

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


def made(**choices: Any) -> bytes:
    told = {"kind": "archive", "which": ALL, "notes": True, "photos": True} | choices
    return b"".join(stream(Choices(**told), now=timezone.now()))


def finds_in(data: bytes) -> dict[str, FindIn]:
    with open_archive(io.BytesIO(data)) as archive:
        assert archive.broken_rules() == []
        return {find.values["id"]: find for find in archive.finds()}


@pytest.fixture
def scene(collector: Member, curator: Member) -> Scene:
    return make_scene(collector, curator)


def test_every_reading_comes_back_to_the_last_digit(scene: Scene) -> None:
    back = {one.trait: one for one in finds_in(made())[str(scene.open.pk)].readings}
    rows = Reading.objects.filter(find=scene.open, ended_at__isnull=True)
    assert set(back) == set(READINGS)
    for row in rows:
        one = back[row.trait]
        for name in ("looked", "low", "high", "n", "unit", "resolution", "typed", "state", "age"):
            assert getattr(one, name) == getattr(row, name), (row.trait, name)
        assert list(one.values) == row.values
        assert sorted(one.states) == sorted(row.states)
        assert one.on == STAMP.date().isoformat()


def test_every_value_of_an_open_find_comes_back(scene: Scene) -> None:
    find, values = scene.open, finds_in(made())[str(scene.open.pk)].values
    assert values["number"] == ("AT", 57, "")
    for name in (
        *(
            "latitude",
            "longitude",
            "datum",
            "uncertainty_m",
            "position_source",
            "position_typed",
            "altitude_m",
        ),
        *(
            "facing_deg",
            "locality",
            "region",
            "country",
            "host",
            "host_known_by",
            "trees_nearby",
            "wood_position",
        ),
        *("height_m", "diameter_cm", "decay_scale", "decay_class", "fruit_bodies", "smell", "specimen_state"),
        *("specimen_age", "found_on", "found_at_time", "utc_offset_minutes", "kept"),
    ):
        assert values[name] == getattr(find, name), name
    assert values["note"] == NOTE
    assert values["foray"] == (find.foray.name, find.foray.held_on)
    assert values["changed_at"] == STAMP.replace(microsecond=0)
    assert values["step_deg"] is None


def test_a_bare_find_comes_back_bare(scene: Scene) -> None:
    values = finds_in(made())[str(scene.bare.pk)].values
    for name in ("latitude", "longitude", "found_on", "uncertainty_m", "fruit_bodies", "foray", "altitude_m"):
        assert values[name] is None, name
    assert values["kept"] is False


def test_every_name_comes_back_in_its_order(scene: Scene) -> None:
    names = finds_in(made())[str(scene.open.pk)].names
    assert [name.typed for name in names] == ["Trametes cf. zonata", "Trametes versicolor"]
    assert [name.basis for name in names] == ["cap | zones", "spores, KOH"]
    assert [name.note for name in names] == ["first look", ""]
    assert [name.is_current for name in names] == [False, True]
    assert names[1].vernacular == "turkeytail"
    assert names[1].by == NOT_NAMED


def test_a_sensitive_place_goes_out_as_its_cell(scene: Scene) -> None:
    find = finds_in(made())[str(scene.sensitive.pk)]
    assert (find.values["latitude"], find.values["longitude"]) == (51.45, -2.55)
    assert find.values["step_deg"] == 0.1
    assert find.row["dwc:coordinatePrecision"] == "0.1"
    assert "0.1 degree cell" in find.row["dwc:dataGeneralizations"]
    assert "kept back" in find.row["dwc:informationWithheld"]
    for name in ("locality", "position_typed", "note"):
        assert find.values[name] == ""
    assert find.values["altitude_m"] is None and find.values["foray"] is None
    assert "trees_nearby" not in find.values
    assert find.names[0].basis == ""


def test_a_share_points_to_its_gathering(scene: Scene) -> None:
    (relation,) = finds_in(made())[str(scene.share.pk)].relations
    assert (relation.of, relation.how, relation.to) == (str(scene.share.pk), "share of", str(scene.open.pk))


def test_a_member_is_named_once_they_agreed(scene: Scene, collector: Member) -> None:
    assert finds_in(made())[str(scene.open.pk)].values["by"] == "AT"
    collector.named_outside, collector.public_id = True, "https://orcid.org/0000-0002-1825-0097"
    collector.save()
    values = finds_in(made())[str(scene.open.pk)].values
    assert (values["by"], values["by_id"]) == ("Ada Thorne", collector.public_id)


def test_a_guest_is_named_once_it_is_noted_that_they_agreed(scene: Scene, curator: Member) -> None:
    assert finds_in(made())[str(scene.share.pk)].values["by"] == NOT_NAMED
    actions.note_agreed([GUEST, "Dr Outside"], by=curator, now=timezone.now())
    found = finds_in(made())
    assert found[str(scene.share.pk)].values["by"] == GUEST
    assert found[str(scene.open.pk)].names[1].by == "Dr Outside"


def test_held_finds_stay_unless_asked_for(scene: Scene) -> None:
    assert str(scene.held.pk) not in finds_in(made(which="reviewed"))
    assert str(scene.held.pk) in finds_in(made())


def test_notes_and_photos_stay_unless_asked_for(scene: Scene) -> None:
    data = made(notes=False, photos=False)
    find = finds_in(data)[str(scene.open.pk)]
    assert find.values["note"] == "" and find.photos == []
    assert [name.note for name in find.names] == ["", ""]
    assert "media.csv" not in zipfile.ZipFile(io.BytesIO(data)).namelist()


def test_photos_go_as_copies_whose_sums_are_told(scene: Scene) -> None:
    data = made()
    photos = finds_in(data)[str(scene.sensitive.pk)].photos
    assert sorted(photo.view for photo in photos) == ["cap", "underside"]
    with open_archive(io.BytesIO(data)) as archive:
        for photo in photos:
            assert hashlib.sha256(archive.file(photo.path).read()).hexdigest() == photo.sha256


def test_the_word_for_what_was_found_follows_the_choice(scene: Scene) -> None:
    for word in ("present", "detected"):
        rows = [find.row["dwc:occurrenceStatus"] for find in finds_in(made(status_word=word)).values()]
        assert set(rows) == {word}


def test_a_file_of_one_foray_leaves_sensitive_finds_out(scene: Scene) -> None:
    found = finds_in(made(foray=scene.open.foray_id))
    assert set(found) == {str(scene.open.pk)}


def test_the_same_records_give_the_same_tables(scene: Scene) -> None:
    first, second = (zipfile.ZipFile(io.BytesIO(made())) for _ in range(2))
    for name in first.namelist():
        if name != "eml.xml":
            assert first.read(name) == second.read(name), name


def test_no_query_is_asked_for_a_single_find(
    scene: Scene, django_assert_max_num_queries: Any, tmp_path: Path
) -> None:
    with django_assert_max_num_queries(16):
        made(photos=False)
