"""Two filters that one can stand for, by an identity of the peak and by SciPy's response."""

import numpy as np
import pytest

from calculators.declaring.working import drain
from calculators.physics import filters_alike
from calculators.physics.arrays import FloatArray
from calculators.physics.filter_limits import Limits
from calculators.physics.flattening import Found
from calculators.physics.speaker_system import grid
from tests.physics.test_filter_limits import as_fitted, by_scipy

WIDE = Limits(max_boost=15.0, max_cut=30.0, q_low=0.1, q_high=20.0)


def typed(peaks: FloatArray) -> FloatArray:
    return np.column_stack([np.exp(peaks[:, 0]), peaks[:, 1], np.exp(peaks[:, 2])])


@pytest.mark.parametrize("gains", [(-6.0, -9.0), (4.0, 5.0), (6.0, -2.0)])
def test_two_whose_inner_widths_meet_are_exactly_one(gains: tuple[float, float]) -> None:
    """(d + ja)/(d + jb) times (d + jb)/(d + jc) is (d + ja)/(d + jc): the Audio EQ Cookbook's peak, by hand.

    With a = A/Q and b = 1/(AQ) the one has the gain of both and Q = 1/√(ac).
    """
    wide, root, other = 0.8, 10 ** (gains[0] / 40), 10 ** (gains[1] / 40)
    b = wide / root**2
    q = 1 / (wide / root), 1 / (b / other)
    filters = np.array([(900.0, gains[0], q[0]), (900.0, gains[1], q[1])])
    (found,) = typed(drain(filters_alike.merged(WIDE, as_fitted(filters))))
    expected = (900.0, sum(gains), 1 / np.sqrt(wide * b / other**2))
    assert found == pytest.approx(expected, rel=1e-2)


def test_what_was_alike_is_one_and_the_rest_is_as_it_was() -> None:
    """A cut typed as three, beside a lift of its own: two filters do it within 0.1 dB everywhere."""
    filters = np.array([(100.0, 4.0, 3.0), (1000.0, -2.0, 1.5), (1015.0, -2.0, 1.6), (990.0, -1.5, 1.4)])
    found = drain(filters_alike.merged(Limits(), as_fitted(filters)))
    assert len(found) == 2
    assert found[0] == pytest.approx(as_fitted(filters)[0])
    assert by_scipy(typed(found), grid()) == pytest.approx(by_scipy(filters, grid()), abs=0.1001)
    assert found[1, 1] == pytest.approx(-5.5, abs=0.15)


def test_two_hollows_so_faint_that_one_does_for_them_are_one() -> None:
    """Nearly an octave apart, with a rise of 0.13 dB between them."""
    filters = np.array([(1000.0, -0.2, 3.0), (1900.0, -0.2, 3.0)])
    (found,) = typed(drain(filters_alike.merged(Limits(), as_fitted(filters))))
    assert 1200 < found[0] < 1600


@pytest.mark.parametrize(
    "filters",
    [
        [(1000.0, -8.0, 1.0), (1000.0, -8.0, 1.0)],  # 16 dB, and one may cut 12.
        [(1000.0, -5.0, 8.0), (1000.0, -5.0, 0.5)],  # A notch on a broad cut.
        [(1000.0, -5.0, 3.0), (1300.0, -5.0, 3.0)],  # Beside one another.
        [(1000.0, 5.0, 1.0)],
        [],
    ],
)
def test_filters_of_which_none_does_for_two_stay(filters: list[tuple[float, float, float]]) -> None:
    peaks = as_fitted(np.array(filters).reshape(-1, 3))
    assert np.array_equal(drain(filters_alike.merged(Limits(), peaks)), peaks)


def test_filters_drawn_at_random_do_as_before_within_a_tenth() -> None:
    """However many go, all together; and each within its limits."""
    random, gone = np.random.default_rng(8), 0
    limits = Limits(max_boost=4.0, max_cut=9.0, q_low=0.6, q_high=6.0)
    for _ in range(20):
        filters = np.column_stack(
            [
                np.exp(random.uniform(np.log(300), np.log(900), 6)),
                random.uniform(-4, 3, 6),
                random.uniform(0.7, 3, 6),
            ]
        )
        found = typed(drain(filters_alike.merged(limits, as_fitted(filters))))
        assert by_scipy(found, grid()) == pytest.approx(by_scipy(filters, grid()), abs=0.1001)
        assert np.all(
            (found[:, 1] >= -9) & (found[:, 1] <= 4) & (found[:, 2] > 0.599) & (found[:, 2] < 6.001)
        )
        gone += len(filters) - len(found)
    assert gone > 20


def test_a_page_is_heard_before_each_filter_that_is_looked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    """However many filters there are: one is looked for between two signs of life, and once for each pair."""
    sought: list[bytes] = []
    look = filters_alike.flattening.polished

    def looked(found: Found, steps: int) -> Found:
        sought.append(found.task.wanted.tobytes())
        return look(found, steps)

    monkeypatch.setattr(filters_alike.flattening, "polished", looked)
    alike = np.array([(300.0 + 40 * n, -1.0, 1.0) for n in range(8)])
    work, between, kept = filters_alike.merged(Limits(), as_fitted(alike)), [], None
    while kept is None:
        before = len(sought)
        try:
            next(work)
        except StopIteration as end:
            kept = end.value
        between.append(len(sought) - before)
    assert max(between) == 1
    assert len(kept) < 6
    # 28 pairs at first, and those of each new filter with the rest.
    assert len(sought) == 28 + sum(range(len(kept) - 1, 7))
    assert len(set(sought)) == len(sought)


@pytest.mark.parametrize(
    "filters",
    [
        [(500.0, -4.0, 2.0), (700.0, 4.0, 2.0)],  # A hollow and a hill.
        [(500.0, -4.0, 5.0), (700.0, -4.0, 5.0)],  # Two hollows.
        [(500.0, -8.0, 2.0), (510.0, -8.0, 2.0)],  # Deeper than one may cut.
    ],
)
def test_no_filter_is_looked_for_where_none_can_be(
    filters: list[tuple[float, float, float]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(filters_alike.flattening, "polished", None)
    peaks = as_fitted(np.array(filters))
    assert np.array_equal(drain(filters_alike.merged(Limits(), peaks)), peaks)
