"""Makes single planned finds: a specimen of a kind, in a wood, on a day, by a member, with its photographs."""

import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import cos, pi, radians, sin, sqrt
from random import Random
from typing import Any
from zoneinfo import ZoneInfo

from ledger.demo.drawing import CapSpec, Shot, UndersideSpec, WoodSpec
from ledger.demo.planned import PlannedFind, PlannedPhoto
from ledger.demo.scene import Colour, Kind, Outing, Person, Scene, Wood
from ledger.demo.specimens import NO_CAP, mean_of, reading_of, readings_of
from ledger.finds.entries import ReadingEntry
from ledger.traits.reference import Reference

METRES_PER_DEGREE = 111_320.0  # of latitude, and of longitude at the equator; good enough to scatter finds
# What a line across a specimen meets per mm where no pores are counted (common practice, no source; for drawing only).
PER_MM = {"gills": 1.3, "teeth": 2.4, "maze": 1.1, "folds": 0.9, "smooth": 1.0, "pores": 3.5}
SIZE_MM = {"cap_width": 60.0, "cap_length": 36.0}


@dataclass(frozen=True, slots=True)
class Spot:
    """A true place; what a device says of it is scattered round it."""

    latitude: float
    longitude: float

    def scattered(self, rng: Random, most_m: float) -> tuple[float, float]:
        """A point within `most_m`, evenly over the circle; degrees, to about a metre."""
        away, turn = most_m * sqrt(rng.random()), rng.uniform(0, 2 * pi)
        return (
            round(self.latitude + away * cos(turn) / METRES_PER_DEGREE, 5),
            round(
                self.longitude + away * sin(turn) / (METRES_PER_DEGREE * cos(radians(self.latitude))),
                5,
            ),
        )


class Maker:
    """Makes finds one after the other; the same seed and the same order of calls give the same finds."""

    def __init__(self, scene: Scene, reference: Reference, seed: str) -> None:
        self.scene, self.reference, self.rng = scene, reference, Random(seed)
        self.zone = ZoneInfo(scene.club["time_zone"])

    def find(
        self,
        kind: Kind,
        *,
        wood: Wood,
        tree: str,
        finder: Person,
        found: datetime,
        outing: Outing | None = None,
        state: str = "fresh",
        age: str = "mature",
        read: Mapping[str, float] | None = None,
        wood_state: str | None = None,
    ) -> PlannedFind:
        """`found` is the finder's own clock, without zone."""
        rng = self.rng
        wood_state = wood_state or rng.choice(kind.wood)
        group = "conifer" if self.scene.is_conifer(tree) else "hardwood"
        readings = readings_of(
            self.reference,
            kind.taxon,
            rng,
            state=state,
            age=age,
            host_group=group,
            wood=wood_state,
            read=read,
        )
        spot = Spot(*Spot(wood.latitude, wood.longitude).scattered(rng, wood.reach_m))
        there = self._place(spot, wood)
        local = found.replace(tzinfo=self.zone)
        offset = local.utcoffset() or timedelta(0)
        record: dict[str, Any] = {
            "kept": kind.kept,
            "found_on": found.date(),
            "found_at_time": found.time().replace(second=0),
            "utc_offset_minutes": int(offset.total_seconds() // 60),
            "locality": f"{wood.name}, {rng.choice(wood.spots)}",
            "specimen_state": state,
            "specimen_age": age,
            "fruit_bodies": rng.choice((1, 1, 2, 3, 5, 8, 12, 20)) if rng.random() < 0.7 else None,
            "permission": wood.permission,
            **there,
            **self._host(tree, wood, wood_state, group),
            **self._wood(wood_state),
        }
        if rng.random() < 0.4:
            record["smell"] = rng.choice(self.scene.smells.get(kind.taxon, self.scene.smells_else))
        if rng.random() < 0.12:
            record["note"] = rng.choice(self.scene.notes)
        at_once = rng.random() < 0.7
        logged = local + timedelta(minutes=rng.randint(2, 20))
        if not at_once and found.hour < 18:
            logged = local.replace(hour=rng.randint(19, 21), minute=rng.randint(0, 59))
        return PlannedFind(
            id=uuid.UUID(int=rng.getrandbits(128), version=4),
            kind=kind,
            wood=wood,
            finder=finder,
            logged_at=logged,
            record=record,
            readings=readings,
            name=kind.taxon,
            photos=self.photos(kind, readings, spot, wood, finder, found),
            basis=rng.choice(("by eye", "by eye", "lens")),
            outing=outing,
        )

    def photos(
        self,
        kind: Kind,
        readings: Mapping[str, ReadingEntry],
        spot: Spot,
        wood: Wood,
        finder: Person,
        found: datetime,
    ) -> tuple[PlannedPhoto, ...]:
        """The cap and the underside, now and then the wood; what is drawn is what was read."""
        rng, camera = self.rng, f"Field camera {1 + sum(map(ord, finder.collector_code)) % 5}"
        knows_zone = rng.random() < 0.7
        has_fix = rng.random() < 0.78
        specs: list[tuple[str, CapSpec | UndersideSpec | WoodSpec]] = []
        habit = readings.get("habit")
        if habit is None or not set(habit.states) <= NO_CAP:
            specs.append(("cap", self.cap(kind, readings)))
        specs.append(("underside", self.underside(kind, readings)))
        if rng.random() < 0.07:
            specs.append(("place", WoodSpec(rng.uniform(120, 420), kind.bark, decay=rng.randint(1, 4))))
        photos = []
        for number, (view, spec) in enumerate(specs):
            taken = found - timedelta(minutes=8 - 2 * number) + timedelta(seconds=rng.randint(0, 59))
            local = taken.replace(tzinfo=self.zone).utcoffset() or timedelta(0)
            error = round(rng.uniform(3, 14), 1)
            latitude, longitude = spot.scattered(rng, error)
            shot = Shot(
                taken_at=taken,
                utc_offset_minutes=int(local.total_seconds() // 60) if knows_zone else None,
                latitude=latitude if has_fix else None,
                longitude=longitude if has_fix else None,
                error_m=error if has_fix and rng.random() < 0.8 else None,
                altitude_m=round(wood.altitude_m + rng.uniform(-12, 12), 1) if has_fix else None,
                direction_deg=round(rng.uniform(0, 359), 1) if has_fix and rng.random() < 0.5 else None,
                orientation=rng.choice((1, 1, 1, 1, 1, 6, 3, 8)),
                model=camera,
            )
            photos.append(PlannedPhoto(view, spec, rng.getrandbits(31), shot))
        return tuple(photos)

    def cap(self, kind: Kind, readings: Mapping[str, ReadingEntry]) -> CapSpec:
        """The largest cap that was measured, in the colours of the kind, each find a little its own."""
        rng = self.rng
        width = self._size(kind, readings, "cap_width")
        length = self._size(kind, readings, "cap_length")
        length = min(max(length, 0.42 * width), 0.8 * width)
        tone = rng.uniform(0.88, 1.1)
        read = readings.get("cap_colour")
        seen = [self.scene.colours[code] for code in read.states] if read is not None else []
        zones = [
            _between(zone, seen[number % len(seen)], 0.45) if seen else zone
            for number, zone in enumerate(kind.zones)
        ]
        return CapSpec(
            width_mm=width,
            length_mm=length,
            zone_colours=tuple(_toned(rng, zone, tone) for zone in zones),
            margin_colour=_toned(rng, kind.margin, tone),
            surface=kind.surface,
            zoned=min(1.0, kind.zoned * rng.uniform(0.8, 1.15)),
            lobes=rng.uniform(0.02, 0.06),
            companions=rng.randint(0, kind.companions),
            bark=kind.bark,
            moss=rng.uniform(0.05, 0.6),
        )

    def underside(self, kind: Kind, readings: Mapping[str, ReadingEntry]) -> UndersideSpec:
        """The underside that was read, with as many pores per mm as were counted."""
        rng, vocabulary = self.rng, self.reference.vocabulary.traits
        read = readings.get("underside") or reading_of(
            self.reference, kind.taxon, vocabulary["underside"], rng, state="fresh", age="mature"
        )
        shows = read.states[0] if read is not None and read.states else "pores"
        counted = readings.get("pores_per_mm")
        if counted is None and shows == "pores":
            counted = reading_of(
                self.reference, kind.taxon, vocabulary["pores_per_mm"], rng, state="fresh", age="mature"
            )
        coloured = readings.get("pore_surface_colour") or reading_of(
            self.reference, kind.taxon, vocabulary["pore_surface_colour"], rng, state="fresh", age="mature"
        )
        name = coloured.states[0] if coloured is not None and coloured.states else "cream"
        colour = _toned(rng, self.scene.colours[name], rng.uniform(0.96, 1.04))
        width = self._size(kind, readings, "cap_width")
        return UndersideSpec(
            kind=shows,
            width_mm=width,
            length_mm=0.62 * width,
            per_mm=mean_of(counted) or PER_MM[shows],
            colour=colour,
            inner_colour=_darker(colour, 0.58),
            margin_colour=_toned(rng, kind.margin, 0.98),
            bark=kind.bark,
        )

    def _size(self, kind: Kind, readings: Mapping[str, ReadingEntry], trait: str) -> float:
        entry = readings.get(trait) or reading_of(
            self.reference,
            kind.taxon,
            self.reference.vocabulary.traits[trait],
            self.rng,
            state="fresh",
            age="mature",
        )
        ends = [*entry.values, *(end for end in (entry.high,) if end is not None)] if entry else []
        return max(ends, default=SIZE_MM[trait])

    def _place(self, spot: Spot, wood: Wood) -> dict[str, Any]:
        """The place as a phone, a photo or a person gives it; errors as under trees."""
        rng = self.rng
        source = rng.choices(("phone", "photo", "typed"), (76, 10, 14))[0]
        error = rng.randint(4, 30) if source != "typed" else rng.choice((10, 25, 50, 71))
        latitude, longitude = spot.scattered(rng, error)
        typed = f"{latitude:.5f}, {longitude:.5f}" if source == "typed" else ""
        return {
            "latitude": latitude,
            "longitude": longitude,
            "datum": "WGS84",
            "uncertainty_m": float(error),
            "position_source": source,
            "position_typed": typed,
            "altitude_m": float(round(wood.altitude_m + rng.uniform(-15, 15)))
            if rng.random() < 0.85
            else None,
        }

    def _host(self, tree: str, wood: Wood, wood_state: str, group: str) -> dict[str, Any]:
        rng = self.rng
        if rng.random() < 0.05:  # not known: a legal answer
            return {"host": "", "trees_nearby": ", ".join(wood.trees)}
        known_by = {"living tree": ("leaves", "bark"), "root": ("leaves", "told")}.get(
            wood_state, ("bark", "bark", "wood", "guess")
        )
        name = self.scene.hosts[tree] if rng.random() < 0.5 else tree.capitalize()
        others = [other for other in wood.trees if other != tree]
        return {
            "host": name,
            "host_known_by": rng.choice(known_by),
            "trees_nearby": ", ".join(rng.sample(others, min(len(others), 2))) if rng.random() < 0.5 else "",
        }

    def _wood(self, wood_state: str) -> dict[str, Any]:
        """Position, size and decay of the wood; a class only with the scale that is made for it."""
        rng = self.rng
        made: dict[str, Any] = {}
        if wood_state in ("living tree", "dead standing"):
            made["height_m"] = round(rng.uniform(0.1, 3.5), 1)
            made["wood_position"] = rng.choice(("side", "side", "wound", "base"))
        elif wood_state == "root":
            made["wood_position"] = "root"
        else:
            made["wood_position"] = rng.choice(("upper", "side", "under", "cut end"))
        thick = {"branch": (2, 9), "fallen log": (14, 60), "stump": (20, 70)}.get(wood_state, (22, 95))
        made["diameter_cm"] = float(rng.randint(*thick)) if rng.random() < 0.8 else None
        if wood_state == "fallen log" and rng.random() < 0.8:
            made |= {"decay_scale": "usda-fia-log", "decay_class": rng.choice("2233344")}
        elif wood_state == "dead standing" and rng.random() < 0.8:
            made |= {"decay_scale": "usda-fia-snag", "decay_class": rng.choice("22334")}
        return made


def _toned(rng: Random, colour: Colour, tone: float) -> Colour:
    red, green, blue = (max(0, min(255, round(part * tone + rng.uniform(-7, 7)))) for part in colour)
    return red, green, blue


def _darker(colour: Colour, share: float) -> Colour:
    red, green, blue = (round(part * share) for part in colour)
    return red, green, blue


def _between(colour: Colour, other: Colour, share: float) -> Colour:
    red, green, blue = (round(a + (b - a) * share) for a, b in zip(colour, other, strict=True))
    return red, green, blue
