"""Rows with good defaults: a test states only what matters to it."""

import hashlib
import io
import uuid
from datetime import date, datetime
from typing import Any

import factory
from django.core.files.base import ContentFile
from django.utils import timezone
from PIL import Image

from ledger.bench.models import Determination, Flag, Question
from ledger.finds.models import Find, Photo, Reading
from ledger.forays.models import Foray
from ledger.people.models import Member
from ledger.search import keeping
from ledger.taxa.models import DocumentedRange, Source, Taxon


class MemberFactory(factory.django.DjangoModelFactory[Member]):
    class Meta:
        model = Member

    sign_in_name = factory.Sequence(lambda n: f"member{n}")
    full_name = factory.Sequence(lambda n: f"Member Number {n}")
    # Letters only, as the rule for codes wants it: QAAA, QAAB, ...
    collector_code = factory.Sequence(
        lambda n: "Q" + "".join(chr(65 + n // 26**place % 26) for place in (2, 1, 0))
    )


class TaxonFactory(factory.django.DjangoModelFactory[Taxon]):
    class Meta:
        model = Taxon
        django_get_or_create = ("name",)

    name = "Trametes versicolor"
    slug = factory.LazyAttribute(lambda taxon: taxon.name.lower().replace(" ", "-"))
    authority = "(L.) Lloyd"


class SourceFactory(factory.django.DjangoModelFactory[Source]):
    class Meta:
        model = Source
        django_get_or_create = ("id",)

    id = "a-handbook"
    citation = "An invented handbook, for tests only"
    kind = "handbook"


class DocumentedRangeFactory(factory.django.DjangoModelFactory[DocumentedRange]):
    class Meta:
        model = DocumentedRange

    taxon = factory.SubFactory(TaxonFactory)
    source = factory.SubFactory(SourceFactory)
    trait = "cap_width"
    unit = "mm"
    low = 20
    high = 80


class ForayFactory(factory.django.DjangoModelFactory[Foray]):
    class Meta:
        model = Foray

    name = "Hollin Wood"
    held_on = date(2026, 10, 3)
    leader = factory.SubFactory(MemberFactory)


class FindFactory(factory.django.DjangoModelFactory[Find]):
    """A find with a place in the invented club's area, and no readings, name or photos."""

    class Meta:
        model = Find

    finder = factory.SubFactory(MemberFactory)
    collecting_code = factory.LazyAttribute(lambda find: find.finder.collector_code)
    collecting_serial = factory.Sequence(lambda n: n + 1)
    found_on = date(2026, 10, 3)
    latitude = 51.23456
    longitude = -2.34567
    uncertainty_m = 12.0
    position_source = "phone"
    locality = "Hollin Wood, below the quarry"
    specimen_state = "fresh"
    specimen_age = "mature"
    logged_at = factory.LazyFunction(timezone.now)
    changed_at = factory.LazyFunction(timezone.now)
    logged_by = factory.SelfAttribute("finder")

    @classmethod
    def _create(cls, model_class: type[Find], *args: Any, **kwargs: Any) -> Find:
        find: Find = super()._create(model_class, *args, **kwargs)
        keeping.keep_new(find, [])
        return find


class ReadingFactory(factory.django.DjangoModelFactory[Reading]):
    class Meta:
        model = Reading

    find = factory.SubFactory(FindFactory)
    trait = "cap_width"
    values = factory.LazyFunction(lambda: [58.0])
    unit = "mm"
    resolution = 1.0
    read_by = factory.LazyAttribute(lambda reading: reading.find.finder)
    read_at = factory.LazyFunction(timezone.now)


class DeterminationFactory(factory.django.DjangoModelFactory[Determination]):
    class Meta:
        model = Determination

    find = factory.SubFactory(FindFactory)
    taxon = factory.SubFactory(TaxonFactory)
    name_typed = factory.LazyAttribute(lambda row: row.taxon.name if row.taxon else "")
    determiner = factory.LazyAttribute(lambda row: row.find.finder)
    determined_on = date(2026, 10, 3)
    made_at = factory.LazyFunction(timezone.now)


class FlagFactory(factory.django.DjangoModelFactory[Flag]):
    class Meta:
        model = Flag

    find = factory.SubFactory(FindFactory)
    code = "trait-outside"
    severity = "doubt"
    subject = "cap_width"
    sentence = "Cap width 120 mm is beyond 20-80 mm."
    fingerprint = factory.Sequence(lambda n: f"{n:064d}")
    raised_at = factory.LazyFunction(timezone.now)

    @classmethod
    def _create(cls, model_class: type[Flag], *args: Any, **kwargs: Any) -> Flag:
        flag: Flag = super()._create(model_class, *args, **kwargs)
        keeping.keep(flag.find)
        return flag


class QuestionFactory(factory.django.DjangoModelFactory[Question]):
    class Meta:
        model = Question

    find = factory.SubFactory(FindFactory)
    asked_by = factory.SubFactory(MemberFactory)
    asked_at = factory.LazyFunction(timezone.now)
    text = "Was the underside white when fresh?"


def indexed(find: Find) -> Find:
    """A find that a test has changed past the actions, entered as they would have entered it."""
    keeping.keep(find)
    return find


def name_find(find: Find, taxon: Taxon | None, **given: Any) -> Determination:
    """Give a find its current name."""
    determination: Determination = DeterminationFactory(find=find, taxon=taxon, **given)
    find.current_determination = determination
    find.save(update_fields=["current_determination"])
    keeping.keep(find)
    return determination


def picture(
    *,
    size: tuple[int, int] = (640, 480),
    colour: str = "sienna",
    taken_at: datetime | None = None,
    position: tuple[float, float] | None = None,
    kind: str = "JPEG",
) -> bytes:
    """The bytes of a plain photograph, with time and place in its EXIF where asked for."""
    image = Image.new("RGB", size, colour)
    exif = Image.Exif()
    if taken_at is not None:
        exif.get_ifd(0x8769)[0x9003] = f"{taken_at:%Y:%m:%d %H:%M:%S}"
    if position is not None:
        gps = exif.get_ifd(0x8825)
        latitude, longitude = position
        gps[1], gps[2] = "N" if latitude >= 0 else "S", _sexagesimal(latitude)
        gps[3], gps[4] = "E" if longitude >= 0 else "W", _sexagesimal(longitude)
    buffer = io.BytesIO()
    image.save(buffer, kind, exif=exif)
    return buffer.getvalue()


def _sexagesimal(degrees: float) -> tuple[float, float, float]:
    whole = int(abs(degrees))
    minutes = (abs(degrees) - whole) * 60
    return float(whole), float(int(minutes)), round((minutes - int(minutes)) * 60, 3)


def make_photo(
    *,
    draft_id: uuid.UUID | None = None,
    find: Find | None = None,
    by: Member,
    data: bytes = b"",
    **facts: Any,
) -> Photo:
    """A stored photo: of a find, or waiting under a draft's UUID."""
    data = data or picture()
    photo = Photo(
        find=find,
        draft_id=draft_id or (find.id if find else uuid.uuid4()),
        sha256=hashlib.sha256(data).hexdigest(),
        format="jpeg",
        byte_size=len(data),
        width=640,
        height=480,
        uploaded_by=by,
        uploaded_at=timezone.now(),
        **facts,
    )
    photo.original.save("photo.jpeg", ContentFile(data), save=False)
    photo.save()
    return photo
