"""The pores that the bench draws, counted by another library: scipy.ndimage.label on pictures without light and noise.

https://docs.scipy.org/doc/scipy/reference/generated/scipy.ndimage.label.html
"""

import pytest

from tests.bench.pore_extras import labelled_and_listed
from tests.bench.pore_images import PORES, Wanted


@pytest.mark.parametrize("kind", PORES)
@pytest.mark.parametrize("seed", [1, 2])
def test_as_many_mouths_are_drawn_as_are_listed(kind: str, seed: int) -> None:
    labelled, listed = labelled_and_listed(Wanted(kind, seed, px_per_pore=20.0, across=22.0, clean=True))
    assert listed > 300
    assert labelled == listed
