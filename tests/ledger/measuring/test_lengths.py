import math

import numpy as np
import pytest

from ledger.measuring.lengths import NotInPlane, measure, scale_at
from ledger.measuring.plane import Plane
from ledger.measuring.ruler import RulerView
from tests.ledger.measuring.making import FOCAL, SIZE, as_seen, made_view, setup, straight_view


def view_from_above(*, mm_per_px=0.1, share=0.0, spread=None):
    """A camera straight above the middle of its photo, 0.1 * focal length away; the fit is perfect, or as `spread` says."""
    matrix = np.diag([1 / mm_per_px, 1 / mm_per_px, 1.0])
    matrix[:2, 2] = (SIZE[0] - 1) / 2, (SIZE[1] - 1) / 2
    return made_view(matrix, share=share, covariance=None if spread is None else np.diag(np.square(spread)))


def test_a_length_on_the_card_is_as_the_card_says():
    a, b = as_seen(setup(), np.array([[10.0, 5.0], [60.0, 5.0]]))
    length = measure(straight_view(), a, b)
    assert length.mm == pytest.approx(50.0, abs=2 * length.scale_mm)


def test_the_parts_add_up_as_squares():
    length = measure(straight_view(), (300, 400), (900, 700), pointing_px=2.0, above_mm=10.0, u_above_mm=3.0)
    parts = (length.scale_mm, length.pointing_mm, length.plane_mm)
    assert min(parts) > 0
    assert length.u_mm == pytest.approx(math.hypot(*parts))


def test_pointing_counts_for_both_ends():
    length = measure(view_from_above(), (100, 100), (600, 100), pointing_px=1.5)
    assert length.mm == pytest.approx(50.0)
    assert length.pointing_mm == pytest.approx(0.1 * 1.5 * math.sqrt(2))
    assert (length.scale_mm, length.plane_mm) == (0.0, 0.0)


def test_the_print_counts_as_a_share_of_the_length():
    length = measure(view_from_above(share=0.003), (100, 100), (600, 100), pointing_px=0.0)
    assert length.u_mm == length.scale_mm == pytest.approx(0.15)


def test_the_fit_s_uncertainty_is_that_of_a_simulation():
    """Propagated by slopes (GUM 5.2.2), against the spread of 4000 drawn fits (JCGM 101)."""
    spread = np.array([0.02, 0.02, 0.3, 0.02, 0.02, 0.3, 3e-5, 3e-5])
    view = view_from_above(spread=spread)
    ends = np.array([[200.0, 900.0], [1400.0, 300.0]])
    rng = np.random.default_rng(5)
    drawn = [
        np.linalg.norm(np.subtract(*Plane(p, view.plane.covariance, (0.0, 0.0)).to_mm(ends)))
        for p in view.plane.parameters + rng.normal(0, 1, (4000, 8)) * spread
    ]
    length = measure(view, *ends.tolist(), pointing_px=0.0)
    assert length.scale_mm == pytest.approx(float(np.std(drawn)), rel=0.06)


def test_pointing_in_a_tilted_view_is_that_of_a_simulation():
    scene = setup(tilt=35.0)
    view = made_view(scene.camera.homography)
    plane = view.plane
    ends = np.array([[300.0, 200.0], [1200.0, 800.0]])
    rng = np.random.default_rng(6)
    drawn = [
        np.linalg.norm(np.subtract(*plane.to_mm(ends + rng.normal(0, 1.5, (2, 2))))) for _ in range(4000)
    ]
    assert measure(view, *ends.tolist()).u_mm == pytest.approx(float(np.std(drawn)), rel=0.06)


def test_what_lies_nearer_the_camera_is_measured_shorter_in_proportion():
    # The camera is 0.1 mm per px times its focal length above the plane; a tenth of that nearer makes 50 mm 45.
    height = 0.1 * FOCAL
    length = measure(view_from_above(), (500, 600), (1000, 600), above_mm=height / 10, focal_px=FOCAL)
    assert length.mm == pytest.approx(45.0)


def test_what_lies_below_the_plane_is_measured_longer():
    length = measure(view_from_above(), (500, 600), (1000, 600), above_mm=-0.01 * FOCAL, focal_px=FOCAL)
    assert length.mm == pytest.approx(55.0)


def test_not_knowing_how_far_above_counts_by_the_camera_s_height():
    length = measure(view_from_above(), (549.5, 599.5), (1049.5, 599.5), u_above_mm=2.0, focal_px=FOCAL)
    assert length.mm == pytest.approx(50.0)
    assert length.plane_mm == pytest.approx(50.0 * 2.0 / (0.1 * FOCAL), rel=1e-6)


def test_in_a_tilted_view_not_knowing_the_height_counts_for_more():
    ends = np.array([[42.5, 7.0], [42.5, 47.0]])
    straight, tilted = (setup(tilt=tilt, turn=0.0) for tilt in (0.0, 35.0))
    plane_mm = []
    for scene in (straight, tilted):
        view = made_view(scene.camera.homography)
        a, b = as_seen(scene, ends)
        plane_mm.append(measure(view, a, b, u_above_mm=1.0, focal_px=FOCAL).plane_mm)
    # Each end moves by tan(35 degrees) of a mm along the slope: 0.7 mm, both ends 1 mm.
    assert plane_mm[1] == pytest.approx(math.sqrt(2) * math.tan(math.radians(35)), rel=0.1)
    assert plane_mm[0] < 0.2


def test_a_known_focal_length_is_more_certain_than_a_usual_one():
    given, usual = (
        measure(view_from_above(), (500, 600), (1000, 600), above_mm=10.0, focal_px=focal).plane_mm
        for focal in (FOCAL, None)
    )
    assert 0 < given < usual / 5


def test_two_points_in_one_place_are_no_length_but_have_an_uncertainty():
    length = measure(view_from_above(), (500, 500), (500, 500), pointing_px=1.5)
    assert length.mm == 0.0
    assert length.u_mm == pytest.approx(0.1 * 1.5 * math.sqrt(2))


def test_a_point_beyond_the_horizon_is_refused():
    scene = setup(tilt=80.0)
    view = made_view(scene.camera.homography)
    above, below = sorted(
        ([800, 1], [800, 1198]), key=lambda px: np.isfinite(view.plane.to_mm(np.array([px]))).all()
    )
    with pytest.raises(NotInPlane, match="horizon"):
        measure(view, above, below)
    with pytest.raises(NotInPlane, match="horizon"):
        scale_at(view, above)


def test_a_line_above_the_camera_is_refused():
    with pytest.raises(NotInPlane, match="too near the camera"):
        measure(view_from_above(), (500, 600), (1000, 600), above_mm=100.0, focal_px=FOCAL)


def test_the_scale_at_a_point_has_the_print_s_share():
    size, u = scale_at(view_from_above(share=0.003), (10, 10))
    assert size == pytest.approx(0.1)
    assert u == pytest.approx(0.0003)


def test_the_scale_far_from_the_card_is_less_certain():
    view = straight_view()
    near, far = (scale_at(view, point) for point in (view.corners_px.mean(axis=0), (20, 1180)))
    own = [math.sqrt(u**2 - (view.share * size) ** 2) / size for size, u in (near, far)]
    assert own[1] > 3 * own[0]


def test_a_ruler_serves_like_a_card():
    plane = Plane(np.array([10.0, 0, 0, 0, 10.0, 0, 0, 0]), np.zeros((8, 8)), (0.0, 0.0))
    view = RulerView(plane, ((0.0, 0.0), (500.0, 0.0)), 50.0, 0.01)
    length = measure(view, (0, 0), (0, 500), pointing_px=0.0)
    assert length.mm == pytest.approx(50.0)
    assert length.scale_mm == pytest.approx(0.5)
    assert length.plane_mm == pytest.approx(50.0 * view.plane_share)
