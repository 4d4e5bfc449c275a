import cv2
import numpy as np
import pytest

from ledger.measuring.lengths import NotInPlane
from ledger.measuring.rectify import rectified
from tests.ledger.measuring.making import SIZE, made_view, setup, straight_view


def dotted(homography, spacing_mm):
    """A photo of a plane with a black dot every so many mm, two mm wide."""
    photo = np.full((SIZE[1], SIZE[0]), 220, np.uint8)
    at = np.arange(-30, 31) * spacing_mm
    points = np.array([(x, y) for x in at for y in at])
    for x, y in points:
        ring = [(x + np.cos(a), y + np.sin(a)) for a in np.linspace(0, 2 * np.pi, 24, endpoint=False)]
        seen = cv2.perspectiveTransform(np.array([ring]), homography)[0]
        cv2.fillPoly(photo, [np.round(seen * 16).astype(np.int32)], 30, cv2.LINE_AA, 4)
    return photo


def centres(patch):
    """Middles of the whole dots of a patch."""
    _, _, boxes, middles = cv2.connectedComponentsWithStats((patch < 110).astype(np.uint8))
    high, wide = patch.shape
    whole = (boxes[:, 0] > 1) & (boxes[:, 1] > 1)
    whole &= (boxes[:, 0] + boxes[:, 2] < wide - 1) & (boxes[:, 1] + boxes[:, 3] < high - 1)
    return middles[whole]


@pytest.mark.parametrize("tilt", [0.0, 30.0])
def test_what_is_equally_far_apart_on_the_plane_is_so_on_the_patch(tilt):
    homography = setup(tilt=tilt).camera.homography
    made = rectified(dotted(homography, 8.0), made_view(homography), (600, 400, 500, 450))
    dots = centres(made.patch)
    nearest = [np.sort(np.linalg.norm(dots - dot, axis=1))[1] for dot in dots]
    assert len(dots) > 50
    assert np.array(nearest) / made.px_per_mm == pytest.approx(8.0, abs=0.12)


def test_a_tilted_patch_has_the_pixels_per_mm_of_its_worse_direction():
    straight, tilted = (setup(tilt=tilt, off=0.0).camera.homography for tilt in (0.0, 35.0))
    box = (750.0, 550.0, 100.0, 100.0)
    photo = np.zeros((SIZE[1], SIZE[0]), np.uint8)
    worse = (
        rectified(photo, made_view(tilted), box).px_per_mm
        / rectified(photo, made_view(straight), box).px_per_mm
    )
    assert worse == pytest.approx(np.cos(np.radians(35)), abs=0.02)


def test_the_patch_leads_back_to_the_photo():
    homography = setup(tilt=25.0).camera.homography
    photo = dotted(homography, 8.0)
    made = rectified(photo, made_view(homography), (500, 500, 300, 200))
    for x, y in centres(made.patch):
        px = made.back((x, y))
        seen = photo[round(px[1]), round(px[0])]
        assert seen < 60
        assert 500 <= px[0] <= 800
        assert 500 <= px[1] <= 700


def test_colours_stay():
    photo = np.zeros((SIZE[1], SIZE[0], 3), np.uint8)
    photo[..., 0] = 200
    made = rectified(photo, made_view(setup().camera.homography), (100, 100, 200, 100))
    assert made.patch.shape[2] == 3
    assert made.patch[20, 20].tolist() == [200, 0, 0]


def test_the_scale_of_a_patch_is_as_uncertain_as_that_of_the_card():
    made = rectified(np.zeros((SIZE[1], SIZE[0]), np.uint8), straight_view(), (800, 500, 150, 150))
    assert made.u_px_per_mm / made.px_per_mm == pytest.approx(0.0036, abs=2e-4)


def test_a_patch_beyond_the_horizon_is_refused():
    view = made_view(setup(tilt=85.0).camera.homography)
    boxes = [(700.0, 0.0, 100.0, 60.0), (700.0, 1100.0, 100.0, 60.0)]
    refused = 0
    for box in boxes:
        try:
            rectified(np.zeros((SIZE[1], SIZE[0]), np.uint8), view, box)
        except NotInPlane:
            refused += 1
    assert refused >= 1


def test_a_part_cut_from_the_photo_gives_the_same_patch():
    homography = setup(tilt=25.0).camera.homography
    photo, view, box = dotted(homography, 8.0), made_view(homography), (500.5, 480.2, 300.0, 200.0)
    whole = rectified(photo, view, box)
    part = rectified(photo[476:690, 496:810], view, box, begins=(496, 476))
    # OpenCV rounds places to a 32nd of a pixel, which falls otherwise here and there on a dot's edge.
    assert np.abs(part.patch.astype(int) - whole.patch).mean() < 0.1
    assert part.back((10.0, 20.0)) == whole.back((10.0, 20.0))
