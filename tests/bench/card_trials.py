"""Views drawn and measured, one after the other: what the report and the tuning look at."""

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np

from ledger.measuring.detect import CardView, NoCard, find_card
from ledger.measuring.lengths import POINTING_PX, measure
from tests.bench.card_camera import HEIGHT, WIDTH, Points, Setup, random_setup
from tests.bench.card_scene import Look, opened, photograph, random_look

TUNING, REPORTING = 77, 4242  # seeds; the two never meet
LINES_ON, LINES_OFF = 2, 4  # measured in each view
# A line worth measuring: of the plane in mm, and of the photo in px (a thirteenth of its width).
SHORTEST_MM, LONGEST_MM, SHORTEST_PX = 15.0, 400.0, 300.0


@dataclass(frozen=True)
class Line:
    """A length measured: its truth, and what came out with and without pointing noise, each with its k = 1."""

    on_card: bool
    true_mm: float
    px: float
    mm: float
    u_mm: float
    bare_mm: float
    u_bare_mm: float

    @property
    def error(self) -> float:
        return self.mm / self.true_mm - 1.0

    @property
    def bare_error(self) -> float:
        return self.bare_mm / self.true_mm - 1.0

    @property
    def covered(self) -> bool:
        return abs(self.mm - self.true_mm) <= 2 * self.u_mm

    @property
    def bare_covered(self) -> bool:
        return abs(self.bare_mm - self.true_mm) <= 2 * self.u_bare_mm


@dataclass(frozen=True)
class Trial:
    """One view: how it was taken and what was found; `lines` is empty where no card was found."""

    setup: Setup
    look: Look
    answer: CardView | NoCard
    lines: list[Line] = field(default_factory=list)

    @property
    def found(self) -> bool:
        return isinstance(self.answer, CardView) and self.answer.kind == self.setup.kind.code

    @property
    def share(self) -> float:
        """Of the picture's width that the card's long side takes."""
        kind = self.setup.kind
        ends = np.array([[0.0, kind.height_mm / 2], [kind.width_mm, kind.height_mm / 2]])
        left, right = self.setup.camera.seen(self.setup.card_to_plane(ends))
        return float(np.linalg.norm(right - left)) / self.setup.camera.size[0]


def trials(
    seed: int,
    many: int,
    *,
    bulge: float = 0.0,
    bend: tuple[float, float] = (0.0, 0.0),
    u_printed: float = 0.0,
    u_lens: float = 0.0,
    covered: bool = False,
    size: tuple[int, int] = (WIDTH, HEIGHT),
) -> Iterator[Trial]:
    """`bulge`: lens distortion drawn from -it to it; `bend` mm drawn between the two; `u_printed`: the print's scale drawn
    with that standard deviation, and told to the search as its uncertainty, as is `u_lens`; `covered`: one marker of each
    card hidden."""
    for at in range(many):
        rng = np.random.default_rng([seed, at])
        setup = random_setup(
            rng,
            bulge=rng.uniform(-bulge, bulge) if bulge else 0.0,
            bend=rng.uniform(*bend) if bend[1] else 0.0,
            u_printed=u_printed,
            size=size,
        )
        look = random_look(rng)
        hidden = int(rng.integers(len(setup.kind.markers))) if covered else None
        picture = opened(photograph(setup, look, rng, covered=hidden))
        answer = find_card(picture, u_printed=u_printed, u_lens=u_lens)
        lines = list(_measured(setup, answer, rng)) if isinstance(answer, CardView) else []
        yield Trial(setup, look, answer, lines)


def _measured(setup: Setup, view: CardView, rng: np.random.Generator) -> Iterator[Line]:
    for number in range(LINES_ON + LINES_OFF):
        on_card = number < LINES_ON
        ends, true_mm = _line(setup, rng, on_card)
        pointed = ends + rng.normal(0.0, POINTING_PX, (2, 2))
        # Plain lists, as a page would send them.
        length = measure(view, *pointed.tolist(), pointing_px=POINTING_PX)
        bare = measure(view, *ends.tolist(), pointing_px=0.0)
        px = float(np.linalg.norm(ends[0] - ends[1]))
        yield Line(on_card, true_mm, px, length.mm, length.u_mm, bare.mm, bare.u_mm)


def _line(setup: Setup, rng: np.random.Generator, on_card: bool) -> tuple[Points, float]:
    """Two points of the picture, and how far apart what they show is: on the card, or anywhere else in its plane."""
    size = np.array(setup.camera.size)
    kind = setup.kind
    shortest_px = SHORTEST_PX * size[0] / WIDTH
    while True:
        if on_card:
            card = rng.uniform(0.0, 1.0, (2, 2)) * [kind.width_mm, kind.height_mm]
            space = setup.card_to_plane(card)
            ends, true_mm = setup.camera.seen(space), float(np.linalg.norm(space[0] - space[1]))
        else:
            ends = rng.uniform(0.0, 1.0, (2, 2)) * size
            plane = setup.camera.on_plane(ends)
            true_mm = float(np.linalg.norm(plane[0] - plane[1]))
            inside = setup.plane_to_card(plane)
            if np.all((inside > 0) & (inside < [kind.width_mm, kind.height_mm])):
                continue
        if SHORTEST_MM <= true_mm <= LONGEST_MM and np.linalg.norm(ends[0] - ends[1]) >= shortest_px:
            return ends, true_mm
