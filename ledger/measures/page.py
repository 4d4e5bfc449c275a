"""What the page of measuring on one photo shows, gathered once."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.db.models import Count

from ledger.finds import access
from ledger.finds.entries import reading_text
from ledger.finds.models import Photo
from ledger.measures.choices import FIRST_FOR_VIEW, TRAITS_OF
from ledger.measures.forms import LineForm
from ledger.measures.models import Measurement, PhotoScale
from ledger.measures.queries import current_scale, found_card, looked_for, measured, of_photo
from ledger.measures.row_words import difference_text, how_text, measured_text
from ledger.measures.rulers import held_against_card
from ledger.measures.taking import CannotMeasure, together
from ledger.measuring import scale_json
from ledger.measuring.card import CHECK_LINE_MM
from ledger.measuring.ruler import AgainstCard, RulerView
from ledger.people.models import Member
from ledger.photos.upright import upright_size
from ledger.taxa.queries import vocabulary
from ledger.words import Said, later, say, say_n
from ledger.words import together as said_together

FREE_LINE = later("Free line")
PORES = "pores_per_mm"


@dataclass(frozen=True, slots=True)
class ShownMeasurement:
    row: Measurement
    text: str
    how: str


@dataclass(frozen=True, slots=True)
class Group:
    """What was measured of one trait on this photo; `difference` compares the latest of two persons."""

    trait: str
    label: str
    rows: Sequence[ShownMeasurement]
    difference: str
    now: str
    own: int  # how many of them, on all photos of the find, are this member's: those become the reading

    @property
    def is_put_together(self) -> bool:
        """Counts are chosen and made one reading in a part of their own."""
        return self.trait == PORES


@dataclass(frozen=True, slots=True)
class CountToChoose:
    row: Measurement
    text: str
    is_chosen: bool


class MeasurePage:
    """One photo, what is marked on it, and what may be measured."""

    def __init__(
        self, photo: Photo, member: Member, what: str, chosen: Collection[str] | None = None
    ) -> None:
        """`chosen`: identities of the counts that are put together; None for all."""
        self.photo, self.member, self._what, self.chosen = photo, member, what, chosen

    @cached_property
    def scale(self) -> PhotoScale | None:
        return current_scale(self.photo)

    @property
    def is_scaled(self) -> bool:
        return self.scale is not None

    @cached_property
    def card(self) -> PhotoScale | None:
        """The card as it was found, also where a ruler serves instead."""
        return self.scale if self.has_card else found_card(self.photo)

    @property
    def _goes_by_ruler(self) -> bool:
        """A card was found, and a ruler that somebody pointed out serves instead."""
        return self.is_scaled and not self.has_card and self.card is not None

    @property
    def may_go_by_card(self) -> bool:
        return self._goes_by_ruler and access.may_amend(self.photo.find, self.member)

    @cached_property
    def ruler_against_card(self) -> AgainstCard | None:
        if not self._goes_by_ruler or self.scale is None:
            return None
        view = scale_json.from_json(self.scale.view)
        return held_against_card(self.photo, view) if isinstance(view, RulerView) else None

    @property
    def scale_says(self) -> Said:
        if self.scale is not None:
            against = [self.ruler_against_card.sentence] if self.ruler_against_card else []
            return said_together([self.scale.in_words, *self._correction, *against])
        looked = looked_for(self.photo)
        return looked.in_words if looked else say("No scale was looked for on this photo yet.")

    @property
    def _correction(self) -> list[str]:
        if not self.is_corrected:
            return []
        assert self.scale is not None
        return [
            say(
                "Scale corrected: the card's {line} mm line was {measured} mm.",
                line=f"{CHECK_LINE_MM:g}",
                measured=f"{self.scale.printed_line_mm:.1f}",
            )
        ]

    @property
    def has_card(self) -> bool:
        return self.scale is not None and self.scale.kind == PhotoScale.Kind.CARD

    @property
    def is_corrected(self) -> bool:
        return self.has_card and abs(self.scale.printed_line_mm - CHECK_LINE_MM) >= 0.05  # type: ignore[union-attr]

    @property
    def may_correct(self) -> bool:
        return self.has_card and access.may_amend(self.photo.find, self.member)

    @property
    def is_sender(self) -> bool:
        """Whoever sent the photo has the card: what they tell of it holds for their next photos as well."""
        return self.photo.uploaded_by_id == self.member.pk

    @cached_property
    def line_form(self) -> LineForm:
        return LineForm(line_mm=self.scale.printed_line_mm if self.is_corrected and self.scale else None)

    @property
    def earlier_scale_says(self) -> str:
        """Of measurements that were made by a scale that serves no more."""
        many = sum(1 for row in self.rows if self.scale is not None and row.scale_id != self.scale.pk)
        if not many:
            return ""
        return say_n(
            "One measurement was made by an earlier scale. It keeps its value; measure again to have the scale of now.",
            "{n} measurements were made by an earlier scale. They keep their values; "
            "measure again to have the scale of now.",
            many,
        )

    @property
    def gains(self) -> list[float]:
        return list(self.scale.grey_gains) if self.scale else []

    @property
    def may_read(self) -> bool:
        return access.may_amend(self.photo.find, self.member)

    @property
    def other_photos(self) -> list[Photo]:
        others = []
        for photo in self.photo.find.photos.exclude(pk=self.photo.pk):
            photo.find = self.photo.find
            if access.may_see_photo(photo, self.member):
                others.append(photo)
        return others

    @property
    def choices(self) -> list[tuple[str, str, bool]]:
        """What can be chosen: value, label, chosen. Without a scale, a ruler comes first."""
        offered = [
            (f"{way}:{trait}", self._label(way, trait))
            for way, traits in TRAITS_OF.items()
            for trait in traits
            if way != "ruler" or access.may_amend(self.photo.find, self.member)
        ]
        wanted = self._what or FIRST_FOR_VIEW.get(self.photo.view, "line:cap_width")
        if self.scale is None:
            wanted = "ruler:"
        if wanted not in dict(offered):
            wanted = offered[0][0]
        return [(value, label, value == wanted) for value, label in offered]

    def _label(self, way: str, trait: str) -> str:
        if way == "ruler":
            return say("Scale from a ruler")
        label = say(vocabulary().traits[trait].label if trait else FREE_LINE)
        if way == "taps":
            return say("{trait} by hand", trait=label)
        return say("{trait} counted by the program", trait=label) if way == "count" else label

    @cached_property
    def rows(self) -> list[Measurement]:
        return list(of_photo(self.photo))

    @property
    def groups(self) -> list[Group]:
        by_trait: dict[str, list[Measurement]] = {}
        for row in self.rows:
            by_trait.setdefault(row.trait, []).append(row)
        traits = vocabulary().traits
        readings = {
            row.trait: reading_text(row, traits.get(row.trait))
            for row in self.photo.find.readings.filter(ended_at__isnull=True)
        }
        own = self._own_of_find
        return [
            Group(
                trait=trait,
                label=vocabulary().traits[trait].label if trait else FREE_LINE,
                rows=[ShownMeasurement(row, measured_text(row), self._how(row)) for row in rows],
                difference=difference_text(rows),
                now=readings.get(trait, ""),
                own=own.get(trait, 0),
            )
            for trait, rows in sorted(by_trait.items(), key=lambda pair: pair[0] == "")
        ]

    @property
    def _own_of_find(self) -> dict[str, int]:
        """How many measurements of this member's hold on all photos of the find, by trait."""
        rows = Measurement.objects.filter(photo__find=self.photo.find, withdrawn_at__isnull=True)
        own = rows.filter(taken_by=self.member).order_by().values_list("trait").annotate(many=Count("pk"))
        return dict(own)

    @property
    def is_wide(self) -> bool:
        width, height = upright_size(self.photo.width, self.photo.height, self.photo.orientation)
        return width > height

    def _how(self, row: Measurement) -> str:
        earlier = self.scale is not None and row.scale_id != self.scale.pk
        return say("{how}, earlier scale", how=how_text(row)) if earlier else how_text(row)

    @cached_property
    def counts(self) -> list[CountToChoose]:
        """This member's kept counts of pores on all photos of the find, to be put together; none where they may not read."""
        if not self.may_read:
            return []
        rows = (
            measured(self.photo.find, PORES)
            .filter(taken_by=self.member)
            .select_related("scale", "photo", "reading")
        )
        return [
            CountToChoose(
                row,
                f"{measured_text(row)}, {how_text(row)}",
                self.chosen is None or str(row.pk) in self.chosen,
            )
            for row in rows
        ]

    @cached_property
    def _counts_told(self) -> tuple[bool, str]:
        rows = [one.row for one in self.counts if one.is_chosen]
        if not rows:
            return False, say("None of the counts is chosen.")
        try:
            return True, together(rows).sentence
        except CannotMeasure as why:
            return False, str(why)

    @property
    def counts_agree(self) -> bool:
        return self._counts_told[0]

    @property
    def counts_say(self) -> str:
        """The chosen counts as one: low-high as the trade writes it, their mean, and how many pores; or why they are not."""
        return self._counts_told[1]

    @property
    def scene(self) -> dict[str, Any]:
        """What the script draws: the upright size in pixels, the card's corners, what was taken before."""
        width, height = upright_size(self.photo.width, self.photo.height, self.photo.orientation)
        return {
            "width": width,
            "height": height,
            "card": scale_json.card_corners(self.card.view) if self.card else None,
            "taken": [
                {"way": row.way, "points": row.points, "text": measured_text(row)} for row in self.rows
            ],
        }
