"""The recorder of a file's field as HTML: everything it can show, hidden until the page's script needs it."""

from calculators.declaring.numerals import typographic
from calculators.presenting.escaping import text

FIRST = -42
LEVELS = (FIRST, -36, -30, -24, -18)
"""dB: the first run of a sweep that the device plays itself, and louder ones. More goes into no speaker."""
QUIETEST, TOO_QUIET, TOO_LOUD = -60, -20, -6
"""dB of full scale: where the meter begins, and between which peaks of a recording are right."""
HELP = (
    "Asks for the microphone when you press, not before. What it hears stays on this device and is gone with "
    "this page unless you save it. <strong>Tried on no phone yet</strong>, only with a made-up microphone: "
    "record one speaker with another recorder as well and compare."
)


def recorder_html(name: str, prefix: str) -> str:
    """The recorder of the field of that name."""
    return (
        f'<doorcard-recorder class="dc-recorder" data-field="{text(name)}">'
        f"<p>{button('open', 'Record with this device')} "
        '<a class="dc-button" data-save="" hidden="hidden">Save the recording</a></p>'
        f'<p class="dc-help">{HELP}</p>'
        f'<div data-panel="" hidden="hidden">{panel(f"{prefix}-{name}")}</div>'
        '<p class="dc-told" data-told="" role="status"></p></doorcard-recorder>'
    )


def panel(prefix: str) -> str:
    """What there is while the microphone is on."""
    players = {"another": "another player", "this": "this device"}
    levels = {str(level): typographic(f"{level} dB") for level in LEVELS}
    levels[str(FIRST)] += ", the first run"
    return (
        '<p data-device=""></p>'
        f'<p class="dc-meter"><meter data-meter="" aria-label="Loudness" min="{QUIETEST}" max="0" '
        f'low="{TOO_QUIET}" high="{TOO_LOUD}" optimum="{(TOO_QUIET + TOO_LOUD) // 2}" value="{QUIETEST}">'
        '</meter> <span data-heard=""></span></p>'
        f'<div class="dc-more-fields">{selection(prefix, "player", "The sweep is played by", players)}'
        f"{selection(prefix, 'level', 'Level of the sweep', levels)}</div>"
        '<p data-warning="" hidden="hidden"></p>'
        f"<p>{button('run', 'Record')} {button('done', 'Finish')} "
        f'<span data-needed="" hidden="hidden"></span> {button("stop", "Stop, keep nothing")}</p>'
    )


def button(kind: str, words: str) -> str:
    """One button."""
    return f'<button type="button" class="dc-button" data-{kind}="">{words}</button>'


def selection(prefix: str, kind: str, label: str, options: dict[str, str]) -> str:
    """A selection with its label; it has no name, for it is no value of the form."""
    inner = "".join(f'<option value="{value}">{words}</option>' for value, words in options.items())
    identity = text(f"{prefix}-{kind}")
    return (
        f'<div class="dc-field" data-of="{kind}"><label for="{identity}">{label}</label>'
        f'<div class="dc-control"><select id="{identity}" data-{kind}="">{inner}</select></div></div>'
    )
