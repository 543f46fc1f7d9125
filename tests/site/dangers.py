"""Words that say that the hand is about to act, and the cautions their page must print in full.

Each row: a pattern (any case, over line ends), the cautions, and a sentence that it must find. Rows are
about acts; where a page only names a thing, `ONLY_NAMED` says so, with the reason.
"""

from typing import NamedTuple


class Danger(NamedTuple):
    """What a page says, and the cautions it then owes."""

    pattern: str
    cautions: str
    example: str


DANGERS = (
    # An engine runs, or starts by itself.
    Danger(r"engine (stays )?(on|running|runs|idling|idles)\b", "S23", "Engine on, all consumers off."),
    Danger(r"\bstart(s|ed|ing)? the engine", "S23", "Log the posts and start the engine."),
    Danger(r"key starts? the engine", "S23", "Lowest voltage while the key starts the engine."),
    Danger(r"engine (is )?(warm|hot|cold)\b|(warm|hot|cold) engine", "S23", "Warm engine, bonnet open."),
    Danger(r"\d+ rpm\b", "S23", "Then 2000 rpm, held."),
    Danger(r"\bat idle\b|\bidle and\b|, idle\.", "S23", "Charging voltage at idle."),
    Danger(r"(key|cold|hot|warm|engine) (re)?starts?\b", "S23", "One key start with the engine cold."),
    Danger(
        r"(three|five|six|each|every|hot|first) restarts?\b", "S23", "Three restarts with the engine hot."
    ),
    Danger(r"stop-start (works|is active)", "S23", "Drive until stop-start works."),
    Danger(r"while (it |the engine )?crank", "S23", "Measure it again while cranking."),
    # A battery terminal moves, or something is joined to one.
    Danger(
        r"negative( terminal| clamp| pole)?( is| goes)?( back)? on\b", "S01 S02 S03", "Negative terminal on."
    ),
    Danger(r"negative( terminal| clamp| pole)?( is| comes)? off\b", "S02", "Main fuse out, negative off."),
    Danger(r"\bbattery( is)? off\b", "S02", "Battery off, key away."),
    Danger(
        r"\b(dis|re)connect\w* (the |a )?(battery|negative)", "S01 S02", "Disconnect the battery last of all."
    ),
    Danger(r"(at|on|of) the (battery's )?posts?\b", "S02", "Read the voltage on the posts."),
    Danger(r"battery (clamp|post|terminal)s?\b", "S02", "Battery clamp on a round post."),
    Danger(r"main fuse( is)? (in|out|first)\b", "S02", "Main fuse out, in your pocket."),
    Danger(r"(fuse|holder) within \d+ mm", "S02 S19", "Fuse within 300 mm of the battery."),
    Danger(r"charge (it|the battery)\b", "S02 S03", "12.4 V or less: charge it and test it again."),
    Danger(r"(jump|charge) points?\b|jump-start", "S02 S03", "Find the maker's jump or charge points."),
    Danger(r"load test\b", "S02", "A load test with half the cold-crank rating."),
    Danger(r"second battery|two batteries", "S02 S03", "A second battery under the seat."),
    Danger(r"\b(bleed|bled)\b", "S02", "Capacitor bled and proven under 1 V."),
    Danger(r"pre-charg", "S02", "Fill it through the pre-charge resistor."),
    Danger(r"\d A fuse in\b|test fuse", "S02 S19", "2 A fuse in the main holder."),
    Danger(r"extinguisher", "S19", "Know where the extinguisher stands."),
    Danger(
        r"support charger( is)? on\b|support charger (of|holds|stays)",
        "S02 S03 S19",
        "Engine off, support charger on.",
    ),
    Danger(r"current sensor", "S03", "Chassis side of the current sensor."),
    Danger(r"\b(48|24) V (network|vehicle)|hybrid", "S03", "A 48 V network is not tapped."),
    # Metal is drilled, and what lies behind it.
    Danger(r"\bdrill(s|ed|ing|ing-)?\b", "S04 S05", "Drill from the side you can see."),
    Danger(r"hole saw|step drill|depth stop|swarf", "S04 S05", "Take the swarf out."),
    Danger(r"rivet nuts? (in|into|through|set)|self-tapping", "S05", "A rivet nut set into the floor."),
    Danger(r"bolt(ed)? through the (floor|sheet|body)", "S04 S05", "Bolted through the floor."),
    Danger(r"(along|under|through|in) the (left |right )?sills?\b", "S01 S04", "Feed along the left sill."),
    Danger(r"(scrape|sand|grind|bare)[^.|]{0,30} (body )?metal", "S04", "Scrape to bare metal."),
    Danger(r"orange (loom|cable|cover|sleeve)|high[- ]voltage", "S04", "Stay off orange looms."),
    # What a crash lets loose.
    Danger(r"belt (bolt|anchor)|child-seat", "S01 S11", "Never on a belt bolt."),
    Danger(r"load path|rear crush zone|\b20 g\b", "S11", "Draw its load path into structure."),
    Danger(r"false floor|load floor bends", "S11", "The false floor stands on its own feet."),
    Danger(r"airbag|belt tensioner", "S01", "Yellow plugs are airbag plugs."),
    Danger(r"(seat|console)s?( is| are)? (out|unplugged|unbolted)\b", "S01", "Seats out, plugs apart."),
    Danger(r"\bpillars?\b", "S01", "Down the B-pillar."),
    Danger(r"pretensioner|gas generators?\b|curtain airbag", "S01", "The curtain airbag's gas generator."),
    Danger(r"top tether|support leg|ISOFIX|lashing eye", "S11", "Top tether over the box."),
    Danger(
        r"spare( wheel)?( is)? (removed|out|that would go)\b", "S18", "Weigh the spare wheel that would go."
    ),
    Danger(r"ultra-high.strength|magnesium", "S05", "A list of ultra-high-strength parts."),
    Danger(r"no-drill|\bholes? in (floor|sill|tunnel|well)", "S04 S05", "No hole in floor, sill or tunnel."),
    # The vehicle stands over somebody, or somebody is tired.
    Danger(r"\bon (a|the) lift\b|axle stands", "S16", "From below on a lift."),
    Danger(r"two people out|who may do it\b", "S20", "Seat on its side, two people out."),
    # Hands in a door, at a pedal, on the road.
    Danger(
        r"door boot|(hands?|arm) in(to|side)? (a|an|the) (open )?door",
        "S07",
        "Pull it through the door boot.",
    ),
    Danger(r"window lifts?|glass (up|down|runs)|run the (glass|window)", "S07", "Run the window lifts."),
    Danger(
        r"\b(door )?cards? (and driver )?(off|out)\b|glass (wedged|taped)|depth over the whole travel",
        "S07",
        "Card and driver off, glass wedged.",
    ),
    Danger(r"pedals?\b", "S21", "Nothing loose near the pedals."),
    Danger(
        r"\b(road test|test drive|while (you )?driv|on the move|drive until|short drive)",
        "S15",
        "Passenger holds the meter while driving.",
    ),
    # Panels are cleaned, treated and glued.
    Danger(r"side-impact sensor|seat (foot|feet)\b|occupancy mat", "S01", "Find out the side-impact sensor."),
    Danger(r"adhesive remover", "S06", "Trim adhesive remover, on cloth."),
    Danger(
        r"isopropyl|degreas|contact cement|solvent|zinc primer on", "S06", "Isopropyl, then the second cloth."
    ),
    Danger(r"mask (on\b|FFP3)|\bsanding\b", "S08", "Old sealer dust: mask on."),
    Danger(r"warm-air gun|\bwarm (it|sheet|skin|panel)\b|\bwelding\b", "S10", "Warm skin to 18 to 40 °C."),
    Danger(r"\b(door|counted|taped) drains?\b|drains with|membrane|hose test", "S12", "Membrane back on."),
    Danger(r"retracting blade|cut on a board|for the roll\b|butyl sheet", "S13", "Two people for the roll."),
    Danger(r"polyurethane|\bsealant\b|isocyanate", "S25", "Bed of soft sealant, plate on."),
    Danger(r"\babsorber\b|burning rate", "S26", "Cut the absorber as large as the basket."),
    # A tone plays.
    Danger(
        r"\b(play|plays|playing|repeat)\b[^.|]{0,60}\b(tone|noise|sweep|file|click|track|music)",
        "S14",
        "Play the tone again.",
    ),
    Danger(r"\b(tone|noise|sweep|click|music)s?( is| are)? (play|on\b)", "S14", "Restarts. Tone playing."),
    Danger(r"pink noise|band noise", "S14 S22", "Full-level pink noise."),
    Danger(r"\bsweeps?\b", "S14 S22", "One sweep from each channel."),
    Danger(r"full[- ]level", "S14 S22", "Ten minutes at full level."),
    Danger(r"test tones?\b|test signals?\b", "S14 S22", "The first test tone."),
    Danger(r"\d dB\(C\)|ear protection on", "S14 S22", "95 dB(C) at the ear is the end."),
    Danger(r"\bear at\b|your ear\b|by ear\b", "S14", "Your ear at 300 mm from the tweeter."),
    # A meter on an output.
    Danger(
        r"(amplifier's|speaker|each|every|tweeter's|channel's) outputs?\b",
        "S09",
        "Direct voltage at each speaker output.",
    ),
    Danger(r"speaker (plugs?|lines?)\b", "S09", "Each speaker line, at the plug."),
    Danger(r"loudspeaker line|speaker-level feed|factory feed", "S09", "Logger on a loudspeaker line."),
    Danger(r"dummy loads?\b|\bdummies\b", "S09 S24", "One eighth of the power into dummies."),
    Danger(r"bridged (output|amplifier|channel)s?", "S09 S24", "Both wires of a bridged output."),
    Danger(r"target volts?\b", "S09 S14 S24", "Turn the gain up to the target volts."),
    Danger(r"(?<![.\d])1 V RMS", "S09 S14 S24", "Tweeter's terminals: 1 V RMS or less."),
    Danger(r"mm from anything that burns", "S26", "A load resistor, 50 mm from anything that burns."),
    # A wire that belongs to somebody else.
    Danger(r"data (bus|line)s?\b|splic\w+ (in)?to a lamp", "S17", "Never splice a data line."),
    Danger(r"chimes?\b", "S15", "Which feed carries the chimes?"),
    Danger(r"fault codes?\b", "S17", "Read the fault codes before and after."),
    Danger(r"press Play\b", "S14", "Turn your device down, press Play."),
)

READ_AT_HOME = ("having-it-done/",)
"""Folders of pages for whoever pays: none tells how a thing is done, and nobody acts by them."""

DESK = "paper alone: the page where the hand acts is another"
CONTENTS = "a list of what other pages hold"
WATCHED = "what somebody watches, on a sheet: the page where the hand acts is another"
AN_EXAMPLE = "a loud tool as an example of a dose"

ONLY_NAMED = {
    ("", "Target volts"): CONTENTS,
    ("learn/reflections/", "airbag"): "where felt must not go; nothing is taken apart",
    ("job/", "bleed"): CONTENTS,
    ("job/", "Pre-charg"): CONTENTS,
    ("job/", "pre-charg"): CONTENTS,
    ("learn/your-ears/", "drill"): AN_EXAMPLE,
    ("learn/sign-off/", "negative off"): WATCHED,
    ("learn/sign-off/", "pre-charg"): WATCHED,
    ("learn/sign-off/", "extinguisher"): WATCHED,
    ("learn/sign-off/", "drill"): WATCHED,
    ("learn/sign-off/", "drills"): WATCHED,
    ("learn/sign-off/", "no-drill"): WATCHED,
    ("learn/sign-off/", "orange cable"): WATCHED,
    ("learn/sign-off/", "load path"): WATCHED,
    ("learn/sign-off/", "factory feed"): WATCHED,
    ("learn/sign-off/", "target volts"): WATCHED,
    ("look-up/ears/", "drill"): AN_EXAMPLE,
    ("look-up/ears/", "sweep"): AN_EXAMPLE,
    ("look-up/", "Target volts"): CONTENTS,
    ("stages/", "drills"): CONTENTS,
    ("stages/", "by ear"): CONTENTS,
    ("stages/", "chimes"): CONTENTS,
    ("stages/", "test signals"): CONTENTS,
    ("stages/design/architecture/", "high voltage"): DESK,
    ("stages/design/architecture/", "airbag"): DESK,
    ("stages/design/architecture/", "each output"): DESK,
    ("stages/design/architecture/", "speaker-level feed"): DESK,
    ("stages/design/gain-structure/", "each output"): DESK,
    ("stages/design/hold-up/", "six restart"): DESK,
    ("stages/design/hold-up/", "first restart"): DESK,
    ("stages/design/hold-up/", "tone play"): DESK,
    ("stages/design/supply/", "at idle"): DESK,
    ("stages/design/supply/", "along the sill"): DESK,
    ("stages/design/supply/", "belt bolt"): DESK,
    ("stages/brief/interview/", "six restarts"): DESK,
    ("stages/brief/limits/", "drilled"): DESK,
    ("stages/handover/documents/", "Airbag"): DESK,
    ("stages/handover/documents/", "airbag"): DESK,
    ("stages/handover/documents/", "disconnects the battery"): DESK,
    ("stages/handover/documents/", "membrane"): DESK,
    ("stages/quote/plan/", "airbag"): DESK,
    ("stages/quote/plan/", "card off"): DESK,
    ("stages/quote/plan/", "cold start"): DESK,
    ("stages/quote/plan/", "door boot"): DESK,
    ("stages/verification/road/", "sealant"): "it cures in a closed door; none is laid here",
    ("stages/verification/noise/", "window lifts"): "a finished door, run by its own switch, no hand in it",
}
"""Page and words → why the words there ask for no act."""
