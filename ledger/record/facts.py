"""What the record checks are told of a find: plain values, no rows of a database, no clock.

None means "not given", never 0.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time
from types import MappingProxyType

from ledger.record import bdq_limits
from ledger.record.decay import DecayScale
from ledger.record.land import LandMap
from ledger.words import later


@dataclass(frozen=True, slots=True)
class PhotoFacts:
    """What one photo says. ``taken_at`` is the camera's own clock; ``error_m`` the radius its phone gave."""

    id: str
    name: str = later("the photo")  # how the sentence calls it: "photo 2"
    view: str = ""  # cap, underside, side, cut, margin, place, scale
    taken_at: datetime | None = None
    utc_offset_minutes: int | None = None
    latitude: float | None = None
    longitude: float | None = None
    error_m: float | None = None
    numbers: tuple[str, ...] = ()  # collecting and accession numbers on codes in frame: "AT 57"


@dataclass(frozen=True, slots=True)
class AwaitedFacts:
    """A photo that a phone announced with the find and that has not come: what it shows, how long it is awaited, in s."""

    view: str
    waits_s: float


@dataclass(frozen=True, slots=True)
class WaitingNumbers:
    """Serials that a phone may still give, and who has that phone."""

    first: int
    last: int
    whose: str


@dataclass(frozen=True, slots=True)
class RecordFacts:
    """One find as its record stands.

    Dates and times are the finder's own clock; ``today`` is the club's. Angles are decimal degrees on WGS 84,
    lengths metres. ``uncertainty_m`` is the radius within which the place lies (Darwin Core's meaning), so it is
    an expanded error already. ``wood_states`` are the read states of `substrate_state`, ``habits`` of `habit`,
    ``host_states`` of `host`. Serials are those of ``collecting_code`` alone: ``earlier_serial`` is the next lower
    one in the ledger, ``accounted_serials`` are those between that are void or on an open block.
    """

    today: date
    found_on: date | None = None
    found_at_time: time | None = None
    utc_offset_minutes: int | None = None
    latitude: float | None = None
    longitude: float | None = None
    datum: str = ""
    uncertainty_m: float | None = None
    position_source: str = ""  # phone, photo, typed, table
    altitude_m: float | None = None
    host: str = ""
    host_group: str | None = None  # of the typed host: "conifer", "hardwood", or None: not known
    host_known_by: str = ""  # bark, leaves, wood, guess, told
    host_states: frozenset[str] = frozenset()
    wood_states: frozenset[str] = frozenset()
    habits: frozenset[str] = frozenset()
    diameter_cm: float | None = None
    decay_scale: str = ""
    decay_class: str = ""
    photos: tuple[PhotoFacts, ...] = ()
    awaited: tuple[AwaitedFacts, ...] = ()
    keyed_from: str = ""  # "at the foray table", "from a paper slip": where nobody has a camera in hand
    collecting_code: str = ""
    collecting_serial: int | None = None
    earlier_serial: int | None = None
    accounted_serials: frozenset[int] = frozenset()
    accession_number: str = ""  # of its voucher, where it has one
    same_number_finds: int = 0  # other finds under the same collecting number
    number_void_on: date | None = None  # the day its number was recorded void
    number_waits: WaitingNumbers | None = (
        None  # the numbers it is one of, on the phone of somebody who did not log it
    )
    taxon: str | None = None
    named_on: date | None = None  # the first day that any of its names is of
    clock_off_s: int | None = None  # the phone's clock ahead of the ledger's when it was sent; None: no phone
    begun_at: datetime | None = None  # when the form was opened, by the phone's clock, in UTC
    arrived_at: datetime | None = None  # when the find reached the ledger, by the ledger's clock, in UTC
    day_amended: bool = False  # the day was written anew after the find had arrived
    blur_step_deg: float | None = None  # set where the place is to be kept from others


@dataclass(frozen=True, slots=True)
class AreaCircle:
    """The club's area: a circle round a point."""

    latitude: float
    longitude: float
    radius_m: float


@dataclass(frozen=True, slots=True)
class Limits:
    """Where the record checks draw their lines; each with where the figure comes from.

    * uncertainty 1 to 20,037,509 m, altitude -430 to 8,850 m, dates from 1582-11-15: TDWG BDQ Core defaults.
    * huge uncertainty 1,000 m for a phone or photo: our judgement; ten times that for a typed place, as old
      localities in words commonly come to some kilometres (from memory), and for that of a foray's table, whose error
      reaches as far as its finders went.
    * 30 m where a receiver's error was not recorded: Darwin Core, coordinateUncertaintyInMeters.
    * 1,560 minutes: between the clocks of UTC-12:00 and UTC+14:00 lie 26 hours (from memory).
    * 2: a phone's radius holds about 68 % of fixes (from memory), so it is doubled to stand beside an expanded error.
    * 3,600 s and 12 hours: a phone's clock is set by its network to seconds; an hour is a zone set wrongly, half a
      day puts a find on another day (our judgement).
    * 3 days for announced photos: a weekend without a signal is over, and the bracket can still be photographed in time
      should the phone be lost (our judgement).
    * 25 km off the coarse map of land: our judgement, see fixtures/land/README.md.
    """

    area: AreaCircle | None = None
    land: LandMap | None = None
    decay_scales: Mapping[str, DecayScale] = field(default_factory=lambda: MappingProxyType({}))
    earliest_found_on: date = bdq_limits.EARLIEST_EVENT
    least_uncertainty_m: float = bdq_limits.LEAST_UNCERTAINTY_M
    most_uncertainty_m: float = bdq_limits.MOST_UNCERTAINTY_M
    huge_uncertainty_m: float = 1_000.0
    huge_uncertainty_typed_m: float = 10_000.0
    least_altitude_m: float = bdq_limits.LEAST_ELEVATION_M
    most_altitude_m: float = bdq_limits.MOST_ELEVATION_M
    assumed_error_m: float = 30.0
    photo_error_factor: float = 2.0
    unknown_zone_minutes: int = 1_560
    coast_margin_m: float = 25_000.0
    clock_off_s: int = 3_600
    clock_far_off_s: int = 43_200
    photos_awaited_s: int = 3 * 86_400
    far_behind_db: float = 10.0
