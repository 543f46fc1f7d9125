"""What bothers a customer, in their words, and what one fitter's experience would do about it.

Hours and order are common practice, no source.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Mend:
    """A fault to be found and mended, which is no upgrade.

    least, most: hours of work. page: address of the page that tells how it is found, or what to do.
    soon: whether it does not wait, and the shop is called the same day.
    """

    what: str
    least: float
    most: float
    page: str
    soon: bool = False


@dataclass(frozen=True)
class Complaint:
    """words: as a customer says it. check: what costs nothing and is tried first.

    remedies: upgrades by name, the one that helps most first. mend: what is mended before any upgrade.
    only_if: without what the remedies cannot help and are not bought for this, in words after "only".
    """

    words: str
    check: str
    remedies: tuple[str, ...] = ()
    mend: Mend | None = None
    only_if: str = ""


COMPLAINTS = {
    "voices-from-door": Complaint(
        "Voices come from the door",
        "Is the balance in the middle? Does your car time its speakers already? Ask for it to be measured",
        ("timing",),
    ),
    "booms": Complaint(
        "It booms on one note",
        "Bass tone down by two; empty the load space and listen again",
        ("tone", "treatment"),
    ),
    "no-bass": Complaint(
        "No bass unless it is loud",
        "Try your radio's own loudness setting",
        ("subwoofer",),
    ),
    "bass-vanishes": Complaint(
        "The bass vanishes when I turn it up",
        "Listen two steps softer: is the bass whole there? Some radios turn it down on purpose",
        ("subwoofer",),
        Mend(
            "measure at two volumes whether the radio turns it down: then no upgrade alone cures it",
            0.5,
            1,
            "stages/survey/signal/",
        ),
    ),
    "silent-at-lights": Complaint(
        "It goes silent at the lights",
        "Have the battery tested, and ask whether the radio itself falls silent: then no upgrade cures it",
        ("hold-up",),
        Mend("battery test, and a battery if it fails", 0.5, 1, "stages/faults/restart/"),
        only_if="if you have a sound processor, or will have one",
    ),
    "hurts": Complaint(
        "It hurts when I turn it up",
        "Turn it down, and try another recording",
        ("amplifier", "tone"),
    ),
    "words-unclear": Complaint(
        "I cannot understand the words",
        "Tone to the middle, sound towards the front",
        ("front-speakers", "tone"),
    ),
    "door-buzzes": Complaint(
        "My door buzzes",
        "Empty its pocket, press the panel while it buzzes",
        ("treatment",),
        Mend("find the buzz and stop it with felt", 1, 2, "stages/faults/rattle/"),
    ),
    "road-loud": Complaint(
        "The road is so loud that I hear nothing",
        "Tyres first: their age, kind and pressure",
        ("treatment",),
    ),
    "partner": Complaint(
        "It is fine for me, and my partner complains",
        "Sound a little towards the other side",
        ("two-seats",),
    ),
    "one-side-dead": Complaint(
        "One side is quiet or dead",
        "Is the balance in the middle?",
        (),
        Mend("find the fault and mend it", 0.5, 2, "stages/faults/silent-channel/"),
    ),
    "hisses": Complaint(
        "It hisses when nothing plays",
        "Another source; pull the cable of your phone",
        (),
        Mend("find where the hiss comes in", 0.5, 2, "stages/faults/hiss/"),
    ),
    "whines": Complaint(
        "It whines with the engine",
        "Pull the phone charger out of its socket",
        (),
        Mend("find where the whine comes in", 0.5, 3, "stages/faults/engine-whine/"),
    ),
    "battery-flat": Complaint(
        "The battery is flat after a week",
        "How far do you drive? Short trips do not fill it",
        (),
        Mend("find what draws current while the car stands", 1, 3, "stages/faults/battery-flat/"),
    ),
    "bass-changes": Complaint(
        "I turn the bass up and down all the time",
        "Turn your radio's loudness setting off",
        ("bass-knob",),
    ),
    "dull": Complaint(
        "It sounds dull, flat, lifeless",
        "Tone to the middle; a better recording or stream",
        ("tone", "front-speakers"),
    ),
    "after-update": Complaint(
        "After an update it sounds different",
        "Look through the radio's sound settings; choose your preset again",
        (),
        Mend("measure what the update changed, set it anew", 1, 2, "having-it-done/processor/"),
    ),
    "water": Complaint(
        "There is water in the footwell since the work",
        "Call the shop now, and do not wait for dry weather",
        (),
        Mend(
            "the fitter's work, free where they worked", 1, 4, "having-it-done/what-can-go-wrong/", soon=True
        ),
    ),
    "lamp": Complaint(
        "A warning lamp is on since the work",
        "Call the shop today. With a brake, airbag or steering lamp, do not drive on",
        (),
        Mend(
            "read what the car has stored; free if the work did it",
            0.5,
            2,
            "stages/faults/warning-lamp/",
            soon=True,
        ),
    ),
}
