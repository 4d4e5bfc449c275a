"""The number on a code in frame, from the photo that comes in to the flag and the accession that settles it."""

import io

import numpy as np
import pytest
import zxingcpp
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from ledger.finds.flagging import recheck
from ledger.finds.models import Find, Photo
from ledger.finds.photo_actions import add_photo
from ledger.people.models import Member
from tests.factories import FindFactory

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


def with_code(text: str) -> bytes:
    made = zxingcpp.create_barcode(text, zxingcpp.BarcodeFormat.QRCode, ec_level="M")
    picture = Image.new("L", (900, 700), 150)
    picture.paste(Image.fromarray(np.array(made.to_image(scale=5, add_quiet_zones=True))), (80, 60))
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=75)
    return out.getvalue()


def sent(find: Find, by: Member, text: str) -> Photo:
    return add_photo(SimpleUploadedFile("cap.jpg", with_code(text)), draft_id=find.pk, by=by, find=find)


def flagged(find: Find) -> list[str]:
    recheck(find)
    return [flag.sentence for flag in find.flags.filter(code="number_in_frame_differs", withdrawn_at=None)]


def test_a_photo_with_another_slip_is_flagged(collector: Member) -> None:
    find = FindFactory(finder=collector)
    photo = sent(find, collector, "https://ledger.example.org/q/ZZ-9")
    assert photo.numbers_seen == ["ZZ 9"]
    assert flagged(find) == [f"Photo 1 shows the number ZZ 9; the find is {find.collecting_number}."]


def test_a_photo_with_its_own_slip_is_not(collector: Member) -> None:
    find = FindFactory(finder=collector)
    sent(find, collector, f"https://ledger.example.org/q/{find.collecting_number.replace(' ', '-')}")
    assert flagged(find) == []


def test_a_code_that_tells_a_place_is_not_kept(collector: Member) -> None:
    find = FindFactory(finder=collector)
    photo = sent(find, collector, "geo:50.12345,-1.45678")
    assert Photo.objects.get(pk=photo.pk).numbers_seen == []
    assert flagged(find) == []


def test_its_packet_s_number_is_its_own_once_the_register_has_given_it(collector: Member) -> None:
    find = FindFactory(finder=collector)
    sent(find, collector, "TFG 2026-0007")
    assert len(flagged(find)) == 1
    find.accession_number = "TFG 2026-0007"
    find.save()
    assert flagged(find) == []
