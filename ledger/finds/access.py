"""Who may see what of a find, and who may change it. The only place that reads a find's position for display."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import NamedTuple

from django.db.models import Q, QuerySet

from ledger.bench.models import Flag, Question
from ledger.finds import tables
from ledger.finds.entries import PLACE_FIELDS
from ledger.finds.history import field_label
from ledger.finds.models import Find, Photo
from ledger.people.models import Member, Role
from ledger.phone.models import WaitingVersion
from ledger.photos.view_table import SHOWING_NO_PLACE
from ledger.places.blur import coarsen
from ledger.places.errors import PlaceError
from ledger.places.position import Position
from ledger.places.text import metres_text, with_datum_and_error
from ledger.words import say

# Lines of the history in which people write freely, and may have written where it was.
_SAID_FREELY = frozenset(
    {
        *("question", "answer", "flag settled", "flags settled", "settled"),
        *("place opened", "version let go", "deaccessioned"),
    }
)
# Lines that hold a name together with its grounds, in which people write as freely. The names stand on the page.
_NAME_WITH_GROUNDS = frozenset({"name"})


class Place(NamedTuple):
    """A find's place as one member may see it.

    Not `exact`: latitude and longitude are the middle of the cell, `uncertainty_m` reaches its corners, and words,
    altitude, foray and permission are empty. Numbers are None where the find has no position at all.
    """

    exact: bool
    text: str
    latitude: float | None = None
    longitude: float | None = None
    uncertainty_m: float | None = None
    datum: str = ""
    altitude_m: float | None = None
    locality: str = ""
    region: str = ""
    country: str = ""
    foray: str = ""
    permission: str = ""
    trees_nearby: str = ""
    note: str = ""
    step_deg: float | None = None
    # What it was taken from: phone, photo, typed, table; and as it was typed.
    source: str = ""
    typed: str = ""

    @property
    def short(self) -> str:
        """One line for a row of the list: the words if there are any, else the numbers."""
        return self.locality or self.text

    @property
    def error_text(self) -> str:
        """The error beside the words of the place, rounded as it is everywhere: up, so that it still covers."""
        return f"± {metres_text(self.uncertainty_m)}" if self.uncertainty_m else ""


@dataclass(frozen=True, slots=True)
class ShownChange:
    """One line of the history as a member may read it."""

    at: datetime
    by: str
    what: str
    old: str
    new: str
    replaced: bool = (
        True  # `new` took the place of `old`; otherwise both still hold: a question and its answer
    )


def sees_exact_place(find: Find, member: Member) -> bool:
    """True for the finder and whoever logged it for them, the leader of that find's foray, curators and keepers.

    And for every member where neither the find nor its taxon is sensitive.
    """
    if find.blur_step_deg is None:
        return True
    return (
        member.pk in (find.finder_id, find.logged_by_id)
        or member.at_least(Role.CURATOR)
        or leads_foray_of(find, member)
    )


def leads_foray_of(find: Find, member: Member) -> bool:
    """Whether *member* leads the find's foray now; who is a leader no longer sees no more than other members."""
    leads = find.foray is not None and find.foray.leader_id == member.pk
    return leads and member.at_least(Role.LEADER)


def place_for(find: Find, member: Member) -> Place:
    """The place of a find as that member may see it, the same on every page, list, label list, photo and JSON."""
    if not sees_exact_place(find, member):
        return _coarse(find)
    return _exact(find)


def place_leaving(find: Find, *, in_words: bool = True) -> Place:
    """The place of a find on whatever leaves the club, whoever sends it: a sensitive one as its cell.

    Without `in_words` the text of an exact place is empty: where only its numbers go out, a million of them in a row.
    """
    return _exact(find, in_words=in_words) if find.blur_step_deg is None else _coarse(find)


def place_held(find: Find, *, in_words: bool = True) -> Place:
    """The place as it is held, sensitive or not: for the club's own safe, which the keeper fills on the machine itself."""
    return _exact(find, in_words=in_words)


def photos_leaving(find: Find) -> frozenset[str] | None:
    """The views of photos that may leave the club; None: all of them."""
    return None if find.blur_step_deg is None else SHOWING_NO_PLACE


def _exact(find: Find, *, in_words: bool = True) -> Place:
    return Place(
        exact=True,
        text=_exact_text(find) if in_words else "",
        latitude=find.latitude,
        longitude=find.longitude,
        uncertainty_m=find.uncertainty_m,
        datum=find.datum,
        altitude_m=find.altitude_m,
        locality=find.locality,
        region=find.region,
        country=find.country,
        foray=str(find.foray) if find.foray else "",
        permission=find.permission,
        trees_nearby=find.trees_nearby,
        note=find.note,
        step_deg=find.blur_step_deg,
        source=find.position_source,
        typed=find.position_typed,
    )


def _exact_text(find: Find) -> str:
    if find.latitude is None or find.longitude is None:
        return ""
    error_m = find.uncertainty_m
    can_be = error_m is not None and error_m > 0
    try:
        position = Position(
            latitude=find.latitude,
            longitude=find.longitude,
            datum=find.datum,
            uncertainty_m=error_m if can_be else None,
        )
    except PlaceError:
        # It is flagged; shown as it stands, so that the curator sees what was entered.
        return say(
            "{latitude}, {longitude} (no place on earth)",
            latitude=f"{find.latitude:g}",
            longitude=f"{find.longitude:g}",
        )
    return with_datum_and_error(position, given_m=None if can_be else error_m)


def _coarse(find: Find) -> Place:
    step = find.blur_step_deg
    assert step is not None
    shared = {"region": find.region, "country": find.country, "step_deg": step}
    kept_back = Place(
        exact=False, text=say("kept back; told in cells of {step}° only", step=f"{step:g}"), **shared
    )
    if find.latitude is None or find.longitude is None:
        return kept_back
    try:
        cell = coarsen(latitude=find.latitude, longitude=find.longitude, side_deg=step)
    except PlaceError:
        return kept_back
    return Place(
        exact=False,
        text=say("{cell}; a finer place is held", cell=cell),
        latitude=cell.latitude,
        longitude=cell.longitude,
        uncertainty_m=cell.uncertainty_m,
        datum=find.datum,
        **shared,
    )


def may_amend(find: Find, member: Member) -> bool:
    """The finder, whoever logged it for them, and curators."""
    return member.pk in (find.finder_id, find.logged_by_id) or member.at_least(Role.CURATOR)


def may_change_finder(find: Find, member: Member) -> bool:
    """Whoever keyed it in, and curators: a finder cannot pass a find on that somebody else keyed."""
    return member.pk == find.logged_by_id or member.at_least(Role.CURATOR)


def may_let_go(version: WaitingVersion, find: Find, member: Member) -> bool:
    """Who may say that a version on a phone is waited for no longer: its holder, the finder, and curators."""
    return member.pk in (version.by_id, find.finder_id) or member.at_least(Role.CURATOR)


def may_answer(find: Find, member: Member) -> bool:
    return may_amend(find, member)


def may_see_photo(photo: Photo, member: Member) -> bool:
    """Copies for the screen hold no metadata: every member sees those of a find; a waiting photo only its sender."""
    if photo.find_id is None:
        return photo.uploaded_by_id == member.pk
    return photo.view in SHOWING_NO_PLACE or sees_exact_place(photo.find, member)


def may_see_original(photo: Photo, member: Member) -> bool:
    """An original holds the place in its metadata: finder, leader of that foray, curators; sensitive or not."""
    if photo.find_id is None:
        return photo.uploaded_by_id == member.pk
    find = photo.find
    return (
        member.pk in (find.finder_id, photo.uploaded_by_id)
        or member.at_least(Role.CURATOR)
        or leads_foray_of(find, member)
    )


def shown_flags(find: Find, member: Member) -> list[Flag]:
    """Flags in force or settled, without those that tell of an exact place the member may not see."""
    exact = sees_exact_place(find, member)
    kinds = tables.flag_table().kinds
    return [
        flag
        for flag in find.flags.all()
        if flag.withdrawn_at is None and (exact or flag.code not in kinds or not kinds[flag.code].tells_place)
    ]


def shown_changes(find: Find, member: Member) -> list[ShownChange]:
    """The history, without old and new places where the member may not see them."""
    exact = sees_exact_place(find, member)
    shown = []
    for change in find.changes.all():
        kept_back = not exact and change.field in PLACE_FIELDS | _SAID_FREELY | _NAME_WITH_GROUNDS
        shown.append(
            ShownChange(
                at=change.changed_at,
                by=change.by.full_name,
                what=field_label(change.field),
                old="" if kept_back else change.old_shown,
                new=say("kept back") if kept_back else change.new_shown,
                replaced=change.field not in _SAID_FREELY,
            )
        )
    return shown


def shown_questions(find: Find, member: Member) -> list[Question]:
    """Questions and answers; none to those who may not know the place, since people write of it freely in them."""
    return list(find.questions.all()) if sees_exact_place(find, member) else []


def may_know_foray(member: Member, prefix: str = "") -> Q:
    """The finds whose foray *member* may know, as a condition; `prefix` leads to the find, such as `finds__`."""

    def q(**conditions: object) -> Q:
        return Q(**{prefix + name: value for name, value in conditions.items()})

    if member.at_least(Role.CURATOR):
        return Q()
    open_to_all = _open_to_all(q)
    own_foray = q(foray__leader=member) if member.at_least(Role.LEADER) else q(pk__in=[])
    return open_to_all | q(finder=member) | q(logged_by=member) | own_foray


def _open_to_all(q: Callable[..., Q]) -> Q:
    """Finds whose place is kept back from nobody."""
    no_name_asks = q(named_blur_step_deg__isnull=True) & (
        q(current_determination__isnull=True)
        | q(current_determination__taxon__isnull=True)
        | q(current_determination__taxon__blur_step_deg__isnull=True)
    )
    return q(own_blur_step_deg__isnull=True) & (q(place_opened=True) | no_name_asks)


def with_foray_told(finds: "QuerySet[Find]") -> "QuerySet[Find]":
    """Leave out sensitive finds, for a list by foray that leaves the club."""
    return finds.filter(_open_to_all(Q))


def may_see_place_of(member: Member, prefix: str = "") -> Q:
    """The rows of the index whose exact place *member* may see: `sees_exact_place` as a condition.

    `prefix` leads to the row, such as `entry__`.
    """

    def q(**conditions: object) -> Q:
        return Q(**{prefix + name: value for name, value in conditions.items()})

    if member.at_least(Role.CURATOR):
        return Q()
    may = q(step_deg__isnull=True) | q(finder=member.pk) | q(logged_by=member.pk)
    if member.at_least(Role.LEADER):
        led = list(member.forays_led.order_by().values_list("pk", flat=True))
        may |= q(foray__in=led)
    return may


def with_foray_shown(finds: "QuerySet[Find]", member: Member) -> "QuerySet[Find]":
    """Leave out sensitive finds whose foray the member may not know: a list by foray would tell their place."""
    return finds.filter(may_know_foray(member))
