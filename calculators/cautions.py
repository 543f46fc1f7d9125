"""The safety cautions, each printed whole on every page where the hand is about to act."""

from calculators.declaring import Caution

CAUTIONS = {
    caution.key: caution
    for caution in (
        Caution(
            "S01",
            "Airbags, belts and seat sensors",
            (
                "Key off, then the negative terminal off at the maker's point, then wait the maker's time; "
                "10 minutes or more if you do not know it.",
                "Leave yellow looms and plugs alone. Never put a meter on an airbag circuit.",
                "Nothing goes across the line of a curtain airbag, or in a knee or head zone.",
                "Some side-impact sensors feel the air inside the door: keep its openings and its cavity as built.",
                "Airbags and belt tensioners are for trained people only. Follow the maker's instructions and your local rules.",
            ),
        ),
        Caution(
            "S02",
            "Battery and fusing",
            (
                "The fuse stays out until every check is done. It sits within 300 mm of the battery.",
                "Rings and watch off; tape the tools you use near the battery.",
                "A charging battery gives off hydrogen: no spark, no flame, and keep its vent pipe in place.",
                "A capacitor stays charged after the battery is off. Bleed it through a resistor and prove it with a meter.",
                "Where local code asks for a shorter distance or a licensed person, that stands.",
            ),
        ),
        Caution(
            "S03",
            "12 V in hybrid and electric vehicles, lithium 12 V batteries, current sensors",
            (
                "Use only a charger that the vehicle maker approves for this battery.",
                "Connect every ground on the chassis side of the battery's current sensor, never on the post.",
                "The 12 V comes from a converter with a limit of its own, and it sleeps: stay within the maker's figure.",
                "Do not jump-start unless the maker's instructions say how.",
            ),
        ),
        Caution(
            "S04",
            "High voltage",
            (
                "Orange looms and their covers: do not tap, drill, move or lean on them. Over 60 V DC is hazardous.",
                "Only a certified person isolates the system.",
                "Know where the service disconnect is, and leave it in reach.",
            ),
        ),
        Caution(
            "S05",
            "Drilling",
            (
                "Look behind the panel before you drill: tank, pipes, looms, brake lines, gas.",
                "Use a depth stop.",
                "Deburr, prime and fit a grommet. Take every bit of swarf out.",
            ),
        ),
        Caution(
            "S09",
            "Outputs of the factory unit",
            (
                "Never ground a leg of a speaker output: most are bridged, and a grounded leg destroys the output stage.",
                "Measure with an isolated or battery-powered instrument, never with one leg of an earthed oscilloscope.",
                "With no load connected some units store a fault or shut down: keep the speaker or a load resistor in place.",
            ),
        ),
        Caution(
            "S11",
            "Crash, load and exits",
            (
                "Fix to structure, never to trim or board alone. Plan for 20 times the weight forward "
                "(common practice, no source; an engineer's figure or your local rule stands above it).",
                "Seat belts, belt anchors and child-seat tethers stay clear. No bolt shares their holes.",
                "Nothing across an exit or where rescuers cut.",
                "A floor must carry the cargo and the people it is made for.",
            ),
        ),
        Caution(
            "S14",
            "Ears",
            (
                "85 dB(A) is a full working day's dose in 8 hours; every 3 dB more halves the time: "
                "94 dB(A) is 1 hour, 100 dB(A) is 15 minutes (NIOSH 98-126).",
                "Keep hearing protection beside you, and warn everybody before a test tone.",
                "Start tweeter sweeps at a hundredth of the power.",
                "Never surprise a customer with level. Your local noise-at-work rule may be stricter, and it stands.",
            ),
        ),
        Caution(
            "S15",
            "Driving and distraction",
            (
                "The passenger holds the meter. Nobody tunes on the move.",
                "A knob must work without looking; lights and screens must dim.",
                "The seat-belt chime stays audible.",
            ),
        ),
        Caution(
            "S17",
            "Warranty, data buses and coding",
            (
                "No splice on a data or lamp line. Do not code out what you cannot put back.",
                "Write down the software version before you start.",
                "Added electronics must meet the electromagnetic rule in force where the vehicle is registered; "
                "test the aerial and the hands-free call.",
            ),
        ),
        Caution(
            "S19",
            "Fire plan",
            (
                "An extinguisher stands in the bay, and everybody knows how to cut the feed and the battery.",
                "Never leave a wet battery charging alone.",
                "If a cable smells or smokes: battery off first, then look.",
            ),
        ),
        Caution(
            "S21",
            "Rear view and pedals",
            (
                "Nothing loose near the pedals, now or after years of shaking: cable, knob, carpet.",
                "Keep the driver's line of sight, forward and to the rear.",
                "A load floor must not have a lip that catches feet or cargo.",
            ),
        ),
        Caution(
            "S22",
            "Noise to others",
            (
                "Bay doors closed while tones or sweeps play.",
                "Think of the neighbours: no sweeps after hours.",
            ),
        ),
    )
}
