"""The finds that are left held, so that each kind of flag can be seen once. Each has a small story of its own.

Every code of fixtures/flags.json appears on at least one of them; a test holds that.
"""

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any

from ledger.demo.beside import Beside
from ledger.demo.drawing import Shot
from ledger.demo.making import Maker
from ledger.demo.planned import Ask, Fate, PlannedFind, PlannedPhoto
from ledger.finds.entries import ReadingEntry

R = ReadingEntry


def held_finds(maker: Maker) -> list[PlannedFind]:
    """The finds, made one after the other with the maker's own chance."""
    return [make(maker) for make in HELD]


def _find(
    maker: Maker,
    taxon: str,
    found: str,
    wood: str,
    tree: str,
    finder: str,
    *,
    name: str | None = None,
    readings: Mapping[str, ReadingEntry],
    record: Mapping[str, Any],
    wood_state: str = "fallen log",
    **how: Any,
) -> PlannedFind:
    """A find of its own making, with the readings given and no others, photographed as it is."""
    person = next(one for one in maker.scene.people if one.sign_in_name == finder)
    at = datetime.fromisoformat(found)
    kind, place = maker.scene.kinds[taxon], maker.scene.woods[wood]
    outing = next((one for one in maker.scene.outings if (one.on, one.wood) == (at.date(), wood)), None)
    made = maker.find(
        kind,
        wood=place,
        tree=tree,
        finder=person,
        found=at,
        outing=outing,
        read={},
        wood_state=wood_state,
        **how,
    )
    group = "conifer" if maker.scene.is_conifer(tree) else "hardwood"
    given = {
        "substrate_state": R("substrate_state", states=(wood_state,)),
        "host": R("host", states=(group,)),
    }
    given |= readings
    said: dict[str, Any] = {
        "host": tree.capitalize(),
        "host_known_by": "bark",
        "decay_scale": "",
        "decay_class": "",
        "diameter_cm": 24.0,
        "altitude_m": place.altitude_m,
        "note": "",
    }
    return replace(
        made,
        name=taxon if name is None else name,
        readings={code: entry for code, entry in given.items() if entry.states or entry.values or entry.looked != "read"},
        record={**made.record, **said, **record},
        photos=_retaken(maker, made, given),
        logged_at=at.replace(tzinfo=maker.zone) + timedelta(minutes=14),
    )  # fmt: skip


def _retaken(
    maker: Maker, made: PlannedFind, readings: Mapping[str, ReadingEntry]
) -> tuple[PlannedPhoto, ...]:
    """The two photos again, with what is drawn as it was read."""
    drawn: list[PlannedPhoto] = []
    for photo in made.photos[:2]:
        spec = maker.cap(made.kind, readings) if photo.view == "cap" else maker.underside(made.kind, readings)
        drawn.append(replace(photo, spec=spec))
    return tuple(drawn)


def _states(**given: str) -> dict[str, ReadingEntry]:
    return {code: R(code, states=tuple(sorted(said.split("|")))) for code, said in given.items()}


def _mm(trait: str, *values: float) -> ReadingEntry:
    typed = " ".join(f"{value:g}" for value in values)
    return R(trait, values=tuple(map(float, values)), unit="mm", resolution=1.0, typed=typed)


def _pores(*values: float) -> ReadingEntry:
    typed = " ".join(f"{value:g}" for value in values)
    return R("pores_per_mm", values=values, unit="1/mm", resolution=0.2, typed=typed)


def a_smooth_underside(maker: Maker) -> PlannedFind:
    """Named for its zoned cap; the underside is smooth."""
    readings = _states(
        underside="smooth", cap_surface="hairy", zonation="zoned", cap_colour="orange|grey", habit="shelving clusters"
    )  # fmt: skip
    readings |= {"cap_width": _mm("cap_width", 22, 31, 26)}
    readings |= _states(pore_surface_colour="yellow")
    return _find(maker, "Stereum hirsutum", "2026-11-14T11:12", "Quern Dingle", "hazel", "lewis",
                 name="Trametes versicolor", readings=readings, record={}, wood_state="branch")  # fmt: skip


def a_cap_over_the_house_rule(maker: Maker) -> PlannedFind:
    """The club's own rule: over 80 mm it is taken for something else. A slip typed up without error and datum, the month
    of its name misread."""
    readings = _states(underside="pores", cap_surface="velvety", zonation="zoned", cap_colour="brown|grey")
    readings |= {"cap_width": _mm("cap_width", 84, 96), "pores_per_mm": _pores(3.8, 4.0, 4.2)}
    record = {"uncertainty_m": None, "datum": "", "position_source": "typed"}
    made = _find(maker, "Trametes versicolor", "2026-11-07T13:40", "Great Ambry Wood", "beech", "joan",
                 readings=readings, record=record, wood_state="stump")  # fmt: skip
    typed = f"{made.record['latitude']:.5f}, {made.record['longitude']:.5f}"
    return replace(made, record={**made.record, "position_typed": typed}, named_on=date(2026, 10, 7))


def birch_bracket_on_spruce(maker: Maker) -> PlannedFind:
    """The host box says birch, the wood was read as conifer: one of the two is wrong."""
    readings = _states(underside="pores", cap_surface="smooth", host="conifer", pore_surface_colour="white")
    readings |= {"cap_width": _mm("cap_width", 110, 145), "pores_per_mm": _pores(3.6, 4.0, 3.8)}
    return _find(maker, "Fomitopsis betulina", "2026-10-10T12:05", "Kestle Plantation", "birch", "tom",
                 readings=readings, record={"host_known_by": "wood"}, wood_state="dead standing")  # fmt: skip


def beech_bracket_on_a_guessed_conifer(maker: Maker) -> PlannedFind:
    """The wood was guessed; and the number stands on an older slip too."""
    readings = _states(
        underside="pores",
        host="conifer",
        pore_shape="elongated",
        pore_surface_colour="white",
        cap_surface="velvety",
    )
    readings |= {"cap_width": _mm("cap_width", 95, 120), "pores_per_mm": _pores(1.2, 1.4, 1.2)}
    made = _find(maker, "Trametes gibbosa", "2026-11-16T14:20", "Kestle Plantation", "larch", "priya",
                 readings=readings, record={"host": "Larch", "host_known_by": "guess"}, wood_state="stump")  # fmt: skip
    return replace(made, serial_back=-9)


def a_summer_bracket_in_winter(maker: Maker) -> PlannedFind:
    """A leftover of the season before, dated by the walk. Asked, answered, and back on the bench."""
    readings = _states(underside="pores", cap_surface="hairy", cap_colour="black|brown", habit="bracket")
    readings |= {"cap_width": _mm("cap_width", 140, 180)}
    made = _find(maker, "Inonotus hispidus", "2026-02-21T10:50", "Merrow Park", "ash", "adaeze",
                 readings=readings, record={}, wood_state="living tree", state="weathered", age="old")  # fmt: skip
    ask = Ask(
        "February is far out of its season. Was it alive, or black and brittle from last year?",
        "Black and light as cork, hanging by a corner. From last summer, I would say.",
        days=9,
    )
    logged = datetime(2026, 10, 28, 20, 15, tzinfo=maker.zone)
    return replace(made, logged_at=logged, fate=Fate(ask=ask))


def ten_times_too_wide(maker: Maker) -> PlannedFind:
    """42, 55 and 62 mm, typed with a nought too many."""
    readings = _states(underside="pores", cap_surface="hairy", zonation="zoned", cap_colour="grey|white")
    readings |= {"cap_width": _mm("cap_width", 42, 55, 62), "pores_per_mm": _pores(2.8, 3.2, 3.0)}
    made = _find(maker, "Trametes hirsuta", "2026-10-24T15:05", "Great Ambry Wood", "beech", "yusuf",
                 readings=readings, record={})  # fmt: skip
    return replace(made, readings={**made.readings, "cap_width": _mm("cap_width", 420, 550, 620)})


def a_name_the_readings_speak_against(maker: Maker) -> PlannedFind:
    """No single trait decides, all together do; and the decay class is of the scale for lying logs."""
    readings = _states(
        underside="pores", pore_surface_colour="grey", cap_colour="grey|brown", zonation="faintly zoned",
        cap_surface="smooth", margin_colour="as cap", context_colour="buff",
    )  # fmt: skip
    readings |= {"pores_per_mm": _pores(6.2, 6.4, 6.6), "cap_thickness": _mm("cap_thickness", 2, 3)}
    record = {"decay_scale": "usda-fia-log", "decay_class": "3"}
    return _find(maker, "Bjerkandera adusta", "2026-10-31T11:30", "Upper Cawl Bank", "beech", "lewis",
                 name="Trametes pubescens", readings=readings, record=record, wood_state="dead standing")  # fmt: skip


def a_find_told_afterwards(maker: Maker) -> PlannedFind:
    """Seen in passing, no photo, no place, and nothing read that decides."""
    readings = {
        "host": R("host"),
        "substrate_state": R("substrate_state"),
        "underside": R("underside", looked="not looked"),
    }
    readings |= _states(zonation="zoned", cap_surface="velvety")
    record = {"latitude": None, "longitude": None, "uncertainty_m": None, "position_source": "", "altitude_m": None,
              "host": "a tree without bark", "host_known_by": "", "kept": False, "diameter_cm": None}  # fmt: skip
    made = _find(maker, "Trametes ochracea", "2026-11-01T16:10", "Harrowend Quarry", "birch", "hanne",
                 readings=readings, record=record)  # fmt: skip
    return replace(made, photos=())


def a_device_without_a_fix(maker: Maker) -> PlannedFind:
    """0, 0, and an altitude to go with it; its clock had stopped for days. Seen from below only."""
    readings = _states(underside="maze", cap_surface="smooth", zonation="zoned", cap_colour="brown")
    readings |= {"cap_width": _mm("cap_width", 70, 95)}
    record = {
        "latitude": 0.0,
        "longitude": 0.0,
        "uncertainty_m": 25.0,
        "altitude_m": 8888.0,
        "decay_class": "3",
    }
    made = _find(maker, "Daedaleopsis confragosa", "2026-11-08T10:25", "Old Sallow Pits", "willow", "hanne",
                 readings=readings, record=record)  # fmt: skip
    return replace(made, photos=made.photos[1:], clock_off_s=-4 * 86_400 - 7_260)


def a_slip_of_the_keys(maker: Maker) -> PlannedFind:
    """A one too many before the latitude, the date forgotten, the only photo from below; its slip is void."""
    readings = _states(
        underside="smooth", cap_surface="velvety", zonation="zoned", pore_surface_colour="cream"
    )
    readings |= {"cap_width": _mm("cap_width", 41, 52)}
    made = _find(maker, "Stereum subtomentosum", "2026-10-18T14:35", "Quern Dingle", "alder", "tom",
                 readings=readings, record={"found_on": None, "found_at_time": None})  # fmt: skip
    latitude, longitude = made.record["latitude"] + 100, made.record["longitude"]
    typed = {
        "position_source": "typed",
        "latitude": latitude,
        "position_typed": f"{latitude:.5f}, {longitude:.5f}",
    }
    return replace(made, record={**made.record, **typed}, photos=made.photos[1:], number_of="void")


def the_lost_sign(maker: Maker) -> PlannedFind:
    """West became east: the North Sea; the phone's clock was an hour ahead; a number that another phone was to give."""
    readings = _states(
        underside="folds", cap_surface="velvety", cap_colour="brown|red", habit="shelving clusters"
    )
    readings |= {"cap_width": _mm("cap_width", 38, 61)}
    made = _find(maker, "Auricularia auricula-judae", "2026-11-15T13:15", "Quern Dingle", "elder", "joan",
                 readings=readings, record={"uncertainty_m": 25.0}, wood_state="branch")  # fmt: skip
    latitude, longitude = made.record["latitude"], -made.record["longitude"]
    typed = {
        "position_source": "typed",
        "longitude": longitude,
        "position_typed": f"{latitude:.5f}, {longitude:.5f}",
    }
    plain = tuple(
        replace(
            photo, shot=replace(photo.shot, latitude=None, longitude=None, error_m=None, direction_deg=None)
        )
        for photo in made.photos
    )
    return replace(
        made,
        record={**made.record, **typed},
        photos=plain,
        clock_off_s=3_660,
        number_of="phone",
    )


def a_photo_from_41_km_away(maker: Maker) -> PlannedFind:
    """The photo of another find got in; numbers were left out; thin fresh wood."""
    readings = _states(underside="pores", pore_surface_colour="white", cap_colour="brown", zonation="zoned")
    readings |= {"cap_width": _mm("cap_width", 72, 104), "pores_per_mm": _pores(1.0, 1.2, 1.0)}
    record = {"decay_scale": "usda-fia-log", "decay_class": "1", "diameter_cm": 5.0}
    made = _find(maker, "Daedaleopsis confragosa", "2026-11-12T12:45", "Old Sallow Pits", "willow", "marit",
                 readings=readings, record=record, wood_state="branch")  # fmt: skip
    far = {"latitude": round(made.wood.latitude + 41_000 / 111_320, 5), "longitude": made.wood.longitude}
    near = {"latitude": made.record["latitude"], "longitude": made.record["longitude"], "error_m": 6.0}
    cap, underside = made.photos
    photos = (
        replace(cap, shot=replace(cap.shot, **far, error_m=8.0)),
        replace(underside, shot=replace(underside.shot, **near)),
    )
    return replace(made, photos=photos, serial_back=3)


def a_camera_with_a_wrong_clock(maker: Maker) -> PlannedFind:
    """The clock was never set; and there is no view from below."""
    readings = _states(
        underside="pores", cap_surface="smooth", zonation="zoned", cap_colour="grey", habit="hoof"
    )
    readings |= {"pores_per_mm": _pores(3.2, 3.6, 3.4), "cap_width": _mm("cap_width", 120)}
    made = _find(maker, "Fomes fomentarius", "2026-11-13T11:55", "Great Ambry Wood", "birch", "yusuf",
                 readings=readings, record={}, wood_state="dead standing")  # fmt: skip
    cap = made.photos[0]
    never_set = replace(
        cap.shot, taken_at=datetime.fromisoformat("2019-01-01T00:14:09"), utc_offset_minutes=None
    )
    return replace(made, photos=(replace(cap, shot=never_set),))


def a_year_to_come(maker: Maker) -> PlannedFind:
    """2062 for 2026, an error of nought, and a decay class no scale has."""
    readings = _states(underside="gills", cap_surface="hairy", zonation="zoned", cap_colour="buff|green")
    readings |= {"cap_width": _mm("cap_width", 44, 58)}
    record = {
        "found_on": date(2062, 10, 24),
        "uncertainty_m": 0.0,
        "decay_scale": "usda-fia-log",
        "decay_class": "7",
    }
    made = _find(maker, "Trametes betulina", "2026-10-24T12:20", "Great Ambry Wood", "birch", "hanne",
                 readings=readings, record=record)  # fmt: skip
    return replace(made, photos=tuple(_undated(photo) for photo in made.photos))


def a_year_long_gone(maker: Maker) -> PlannedFind:
    """1026 for 2026; a sensitive taxon; and an error of five kilometres from a phone."""
    readings = _states(underside="pores", cap_surface="varnished", cap_colour="red|brown", habit="stalked")
    readings |= {"cap_width": _mm("cap_width", 82, 98), "pores_per_mm": _pores(4.4, 4.6, 4.6)}
    record = {
        "found_on": date(1026, 10, 3),
        "uncertainty_m": 5200.0,
        "position_source": "phone",
        "position_typed": "",
    }
    made = _find(maker, "Ganoderma lucidum", "2026-10-03T14:00", "Nine Stiles Coppice", "hazel", "priya",
                 readings=readings, record=record, wood_state="stump")  # fmt: skip
    return replace(made, photos=tuple(_undated(photo) for photo in made.photos))


def a_photo_of_somebody_else_s_slip(maker: Maker) -> PlannedFind:
    """Two finds were laid out side by side on the foray's table; this cap was photographed with the other one's slip."""
    readings = _states(underside="pores", cap_surface="velvety", zonation="zoned", cap_colour="brown|grey")
    readings |= {"cap_width": _mm("cap_width", 48, 55), "pores_per_mm": _pores(3.6, 4.0, 4.2)}
    made = _find(maker, "Trametes versicolor", "2026-11-07T14:05", "Great Ambry Wood", "oak", "tom",
                 readings=readings, record={}, wood_state="stump")  # fmt: skip
    other = next(one for one in maker.scene.people if one.sign_in_name == "joan")
    cap, *rest = made.photos
    return replace(made, photos=(replace(cap, beside=Beside(number=f"{other.collector_code} 3")), *rest))


def _undated(photo: PlannedPhoto) -> PlannedPhoto:
    """As it comes from a messenger: without time and place."""
    return replace(photo, shot=Shot(orientation=photo.shot.orientation, make=None, model=None))


HELD: tuple[Callable[[Maker], PlannedFind], ...] = (
    a_smooth_underside,
    a_cap_over_the_house_rule,
    birch_bracket_on_spruce,
    beech_bracket_on_a_guessed_conifer,
    a_summer_bracket_in_winter,
    ten_times_too_wide,
    a_name_the_readings_speak_against,
    a_find_told_afterwards,
    a_device_without_a_fix,
    a_slip_of_the_keys,
    the_lost_sign,
    a_photo_from_41_km_away,
    a_camera_with_a_wrong_clock,
    a_year_to_come,
    a_year_long_gone,
    a_photo_of_somebody_else_s_slip,
)
