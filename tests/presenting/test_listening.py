"""Sounds to compare as HTML: locked until a script comes, readable without one, names escaped."""

from xml.etree import ElementTree

from calculators.declaring import Drawing, Listening, Made, OutputField, OutputSound, Take
from calculators.presenting.listening import listening

HOSTILE = '<b>"&'
SOUND = OutputField("sound", OutputSound("Hear it"))
HEARD = Listening(
    tuple(
        Take(
            name,
            f"What is heard: {name}.",
            Drawing(name, name, 10, ()),
            Made.whole(f"{name}.wav", "audio/wav", b""),
        )
        for name in ("Before", HOSTILE, "After")
    )
)


def test_it_is_locked_starts_soft_and_says_to_turn_the_device_down_first() -> None:
    root = ElementTree.fromstring(f"<div>{listening(SOUND, HEARD, live=True)}</div>")
    assert root.find(".//fieldset[@disabled]") is not None
    level = root.find(".//input[@type='range']")
    assert level is not None
    assert float(level.get("value", "")) <= -20
    assert root.find(".//label/input[@type='range']") is not None
    note = "".join(root.itertext())
    assert note.index("Turn your device down first") < note.index("Play")
    assert "Headphones" in note
    assert [button.text for button in root.findall(".//button[@data-blind]")] == [
        "A: Before",
        "B: After",
        "X",
    ]
    assert [button.text for button in root.findall(".//button[@data-choose]")] == ["Before", HOSTILE, "After"]


def test_without_a_form_it_is_read_and_cannot_be_pressed() -> None:
    html = listening(SOUND, HEARD, live=False)
    root = ElementTree.fromstring(f"<div>{html}</div>")
    assert root.find(".//button") is None
    assert root.find(".//doorcard-listening") is None
    for take in HEARD.takes:
        assert take.words in "".join(root.itertext())
    assert len(root.findall(".//figure")) == 3
    assert HOSTILE not in html
