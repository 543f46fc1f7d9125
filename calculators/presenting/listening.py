"""Sounds to compare as HTML: how to listen, a place for each sound's picture and words, and a blind test.

Without the page's script it is a printed page: pictures and words. The script wakes the buttons.
"""

from collections.abc import Mapping

from calculators.declaring import Listening, OutputField, Take
from calculators.presenting.drawings import drawing
from calculators.presenting.escaping import text

NOTICE = (
    "<strong>Turn your device down first, then press Play.</strong> Headphones. "
    "Not for children without you. A made-up sound, not your car. "
    "If you hear less in one ear, this test can mislead you. No headphones? Read what it sounds like."
)
RULES = "Listen as often as you like, then say which. Ten rounds; the score comes after the last."
LOWEST, FIRST = -40, -20
"""dB: the soft end of the level, and where it starts."""


def listening(output: OutputField, heard: Listening, live: bool) -> str:
    """A whole comparison; only a ``live`` one has a script that plays it."""
    takes = "".join(take_html(take, live) for take in heard.takes)
    if not live:
        return f'<div class="dc-listening">{takes}</div>'
    return (
        f'<doorcard-listening class="dc-listening" data-sound="{output.name}">'
        f'<p class="dc-advice dc-note">{NOTICE}</p>{controls(heard)}{takes}</doorcard-listening>'
    )


def take_html(take: Take, live: bool) -> str:
    """One sound: its name, what is heard, its picture, and a link for once the sound is made."""
    name = text(take.sound.name)
    link = f'<a class="dc-button" data-keep="" hidden="hidden" download="{name}">Keep this sound</a>'
    return (
        f'<div class="dc-take"><p><strong>{text(take.name)}:</strong> {text(take.words)}</p>'
        f"{drawing(take.picture)}{f'<p>{link}</p>' if live else ''}</div>"
    )


def controls(heard: Listening) -> str:
    """Buttons and the level, locked until the script has come."""
    names = [text(take.name) for take in heard.takes]
    first, last = names[0], names[-1]
    play = '<button type="button" class="dc-button" data-play="">Play</button>'
    level = f'<input type="range" data-level="" min="{LOWEST}" max="0" step="2" value="{FIRST}"/>'
    which = {str(place): name for place, name in enumerate(names)}
    return (
        '<fieldset class="dc-listen" disabled="disabled" aria-label="Listen">'
        f'<p class="dc-play">{play}<label>Level {level}</label></p>'
        f"{choices('Which sound', 'choose', which)}"
        "<details><summary>Test yourself blind</summary>"
        f"<p>X is “{first}” or “{last}”, by chance, anew each round. {RULES}</p>"
        f"{choices('Listen', 'blind', {'0': f'A: {first}', '1': f'B: {last}', 'x': 'X'})}"
        f"{choices('Answer', 'say', {'0': 'X is A', '1': 'X is B'})}"
        '<p data-score="" role="status"></p></details></fieldset>'
        '<p class="dc-told" data-told="" role="status"></p>'
    )


def choices(label: str, kind: str, words: Mapping[str, str]) -> str:
    """A row of buttons of one kind; the words are HTML already."""
    buttons = "".join(
        f'<button type="button" class="dc-button" data-{kind}="{value}">{name}</button>'
        for value, name in words.items()
    )
    return f'<div class="dc-choices" role="group" aria-label="{label}">{buttons}</div>'
