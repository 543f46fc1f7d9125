"""A result as HTML and in spoken words."""

from calculators.declaring import run_values
from calculators.presenting.results import result_html, spoken
from calculators.stages import find_calculator


def test_a_danger_is_spoken_before_the_answer() -> None:
    fuse = find_calculator("fuse")
    safe = run_values(fuse, fuse.example)
    burning = run_values(fuse, dict(fuse.example) | {"distance": 1.0})
    dangers = [entry for entry in burning.advice if entry.danger]
    assert dangers
    assert spoken(burning).startswith(f"Danger: {dangers[0].message}")
    assert all(entry.message in spoken(burning) for entry in dangers)
    assert "Fuse to fit: " in spoken(burning)
    assert spoken(safe).startswith("Fuse to fit: ")


def test_what_is_wrong_is_spoken() -> None:
    assert "must be between" in spoken(run_values(find_calculator("sound-speed"), {"temperature": 99}))


def test_an_answer_says_what_it_is_for() -> None:
    delay = find_calculator("delay")
    speakers = [{"name": "<near>", "distance": 0.85}, {"name": "far", "distance": 1.4}]
    html = result_html(run_values(delay, {"speakers": speakers, "temperature": 20}))
    assert '<p class="dc-for"><strong>For:</strong> &lt;near&gt;, 85\u00a0cm, 0\u00a0ms' in html
    assert "; far, 140\u00a0cm" in html
    assert "Air in the cabin 20\u00a0°C" in html
    assert html.index("dc-for") < html.index("dc-answers")


def test_dangers_stand_before_everything() -> None:
    fuse = find_calculator("fuse")
    assert result_html(run_values(fuse, dict(fuse.example) | {"distance": 1.0})).startswith(
        '<p class="dc-advice dc-danger">'
    )
