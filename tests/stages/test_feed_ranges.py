"""A range too coarse and a pad too strong are told as a range too fine is."""

import pytest

from tests.asking import run


@pytest.mark.parametrize(
    ("limit", "told"), [(10.0, False), (16.7, False), (16.9, True), (40.0, True)], ids=str
)
def test_a_range_too_coarse_is_told_as_one_too_fine_is(limit: float, told: bool) -> None:
    """8.4 V is 6.0 dB under 16.76 V: what is coarser hisses by as much, and the tree on hiss mends it."""
    outcome = run("speaker-level-feed", input_limit=limit, measured_voltage=8.4)
    words = [each.message for each in outcome.advice if each.about == "headroom"]
    assert bool(words) == told
    assert all("a finer range, or a weaker pad" in each for each in words)
    if limit == 40.0:
        assert words[0].startswith("13.6 dB under")
        assert "stands 7.6 dB higher" in words[0]


def test_a_pad_too_strong_is_told() -> None:
    strong = run("speaker-level-feed", input_limit=2.0, measured_voltage=8.4, leg=1e6, across=100.0)
    assert any("a weaker pad" in each.message for each in strong.advice)
