"""The safety cautions, each printed whole on every page where the hand is about to act."""

from calculators.declaring import Caution

CAUTIONS = {
    caution.key: caution
    for caution in (
        Caution(
            "S01",
            "Airbags, belts and seat sensors",
            (
                "Key away, ignition off, then the negative terminal off at the maker's point, then wait the maker's time; 10 minutes or more if you do not know it.",
                "No ignition while a seat, an airbag, a belt or a sensor is unplugged.",
                "Before the negative goes back on: every airbag, seat and belt plug home, nobody seated, nobody leaning in. Ignition on only after that.",
                "Leave yellow looms and plugs alone. Never put a meter on an airbag circuit.",
                "Nothing goes across the line of a curtain airbag, or in a knee or head zone. No hammer, impact driver or heat gun on pillars, airbag covers and sensor mounts.",
                "Some side-impact sensors feel the air inside the door: find out which kind it has before you seal, open or change anything there.",
                "Carry an airbag with its cover away from you; lay it down cover up.",
                "Airbags and belt tensioners are for trained people only. Follow the maker's instructions and your local rules.",
            ),
        ),
        Caution(
            "S02",
            "Battery and fusing",
            (
                "The fuse stays out until every check is done. It sits within 300 mm of the battery.",
                "Negative off first, on last.",
                "Find every source: a second battery, a converter, a charger, a solar panel. Charge cable out, key away. Then prove it dead, with a meter that you try on a live battery before and after.",
                "Goggles and gloves at the battery. Acid on skin or in an eye: clean water at once, 15 minutes, then medical help.",
                "Rings and watch off; tape the tools you use near the battery.",
                "A charging battery gives off hydrogen: no spark, no flame, and keep its vent pipe in place.",
                "Never charge or jump-start a battery that is frozen, swollen or leaking: it can burst. A flat one freezes a few degrees below zero: thaw it first. Under 10.5 V at rest a cell may be shorted: replace it.",
                "A capacitor stays charged after the battery is off. Bleed it through a resistor and prove it with a meter.",
                "Where local code asks for a shorter distance or a licensed person, that stands.",
            ),
        ),
        Caution(
            "S03",
            "Hybrid, electric, 48 V and 24 V vehicles, lithium 12 V batteries, current sensors",
            (
                "Use only a charger that the vehicle maker approves for this battery.",
                "Connect every ground on the chassis side of the battery's current sensor, never on the post.",
                "With a cut-off at the positive terminal that a crash fires, connect on its far side, where the maker says.",
                "The 12 V may come from a converter with a limit of its own, and it sleeps: stay within the maker's figure. It can wake by itself and keep 12 V alive with the battery off.",
                "A 48 V network is not tapped. In a 24 V vehicle take 12 V through a converter, never from one battery of the pair.",
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
                "See the other side with your own eyes or a borescope, or do not drill.",
                "Electric or plug-in vehicle: no hole, rivet or self-tapping screw in floor, sill, tunnel or well, whatever the distance. The battery or its cables are on the other side.",
                "Tanks, fuel, brake and gas pipes, looms, airbags, belts: 100 mm away (common practice, no source), and none in the drill's path. Fuel vapour: tank closed, no hot spark near it.",
                "Never in pillars, roof rails or door beams of ultra-high-strength steel, nor in composite. Magnesium and aluminium castings only by the maker's word: magnesium swarf burns, and takes a class D extinguisher.",
                "Depth stop, goggles; no gloves at a turning drill. Cover trim and glass.",
                "Take every chip out by magnet and vacuum: it rusts. Deburr, zinc primer, paint, grommet, wax on the far side.",
            ),
        ),
        Caution(
            "S06",
            "Solvents, adhesives, primers",
            (
                "The data sheet is at hand, and read.",
                "Vapour is heavier than air and lies in footwell and spare-wheel well: doors open, air moving, battery off; no heat gun, lamp, grinder, phone or switch until it has gone.",
                "Gloves by the data sheet (nitrile is not for every solvent), goggles.",
                "Rags and lids into a closed metal bin, emptied daily.",
                "Never spray contact cement in a shut cabin. Pregnant or asthmatic: not this task.",
            ),
        ),
        Caution(
            "S07",
            "Glass, regulator, edges",
            (
                "Hands in a door only with the glass taped or wedged, the key away and the window's feed dead: a module may move it by itself.",
                "To run the glass: every restraint plug latched, nobody near an airbag, tape and wedges off, hands and tools out, one person gives the word.",
                "Cut-resistant gloves for sheet edges (EN 388); off again at turning tools.",
                "Afterwards teach the pinch guard again, and prove it with a soft roll, never with a hand.",
            ),
        ),
        Caution(
            "S08",
            "Dust",
            (
                "Wood dust harms the lungs; hardwood and board dust cause cancer. Mask FFP3 or P3 for routing and sanding.",
                "Extractor of class M at the tool; no blowing off, wet wipe after.",
                "Wood and metal never through one extractor: a grinder's spark lights the bag. No smoking; bag emptied, bin outside at night.",
            ),
        ),
        Caution(
            "S09",
            "Outputs of the factory unit and of the amplifier",
            (
                "Never ground a leg of a speaker output: most are bridged, and a grounded leg destroys the output stage.",
                "Amplifier outputs too: never common, never to chassis, never to a shield.",
                "Measure with an isolated or battery-powered instrument, never with one leg of an earthed oscilloscope.",
                "With no load connected some units store a fault or shut down: keep the speaker or a load resistor in place.",
            ),
        ),
        Caution(
            "S10",
            "Hot work and power tools",
            (
                "No welding without the maker's procedure: battery and modules apart, fire watch 60 minutes.",
                "No heat over 60 °C on body panels (common practice, no source).",
                "Guards, riving knife and push stick stay on; work clamped; goggles and hearing protection. No gloves, sleeves or loose hair at router, saw or drill.",
                "Grinder sparks burn into glass and paint: cover them. Extinguisher in reach.",
            ),
        ),
        Caution(
            "S11",
            "Crash, load and exits",
            (
                "Fix to structure, never to trim or board alone. Plan for 20 times the weight forward, 10 times back, sideways and up (common practice, no source, and no certificate; an engineer's figure or your local rule stands above it).",
                "Count half the fixings; the sheet fails before the bolt. Nothing over 1 kg on screws into board, on glue or on hook-and-loop alone.",
                "Seat belts, seats, buckles, child-seat bars and top tethers stay clear: nothing shares their hole, bolt or strap path. Lashing eyes stay free.",
                "Nothing behind a seat's back higher than it.",
                "Nothing across an exit, a release, the fuel shut-off or where rescuers cut.",
                "A floor must carry the cargo and the people it is made for.",
                "Nothing here is approved by us: the engineer, inspector or insurer decides.",
            ),
        ),
        Caution(
            "S12",
            "Water",
            (
                "Drains open and counted; membrane whole, as the maker's; cut edges sealed.",
                "A cable enters a door from below its drip loop. Cabin vents behind the rear trim stay open.",
                "Water test before foam, felt and carpet go in.",
                "Wet carpet: the foam under it holds litres. Take it out.",
                "Aluminium foil edges on bare steel rust: seal them.",
            ),
        ),
        Caution(
            "S13",
            "Lifting and sharp edges",
            (
                "Two people over 20 kg held close, and over 10 kg at arm's length, as over a bumper into the load bay (from memory of a safety authority's guide; your local rule stands). A roll of barrier is for two.",
                "Cut sheet and foil are knives. Blades retract; cut away from the hand.",
                "Never cut on the panel: the score rusts.",
            ),
        ),
        Caution(
            "S14",
            "Ears",
            (
                "85 dB(A) is a full working day's dose in 8 hours; every 3 dB more halves the time: 94 dB(A) is 1 hour, 100 dB(A) is 15 minutes (NIOSH 98-126).",
                "Keep hearing protection beside you, and warn everybody before a test tone.",
                "Start tweeter sweeps at a hundredth of the power, and at 1 V RMS at the tweeter or less (common practice, no source).",
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
            "S16",
            "Vehicle moved or lifted",
            (
                "Parking brake on, P or neutral, wheels chocked, key away. An electric vehicle moves without a sound.",
                "Nobody under a vehicle that stands on a jack: a lift or stands, at the maker's lifting points.",
                "Silencer and exhaust burn for an hour after a drive.",
                "No start and no drive with doors, seats or trim apart. Hands clear of a tailgate or step that moves by itself.",
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
            "S18",
            "Law and licence",
            (
                "Airbag and high-voltage work: only a person with the proof your country asks for may do it and sign for it. An apprentice never alone.",
                "Ask before: seats, belts, structure, spare, mass and axle loads against the vehicle's papers; insurer and lessor in writing; where the country wants an inspection, before use on the road.",
                "Local rules on refrigerant, waste batteries and devices in the driver's view stand above this page.",
            ),
        ),
        Caution(
            "S19",
            "Fire plan",
            (
                "An extinguisher stands in the bay, and everybody knows how to cut the feed and the battery.",
                "Dry powder or carbon dioxide, of the kind and size your fire rule asks for; no water on a live cable. Carbon dioxide takes the air in a cabin: door open, head out.",
                "A lithium battery that smokes, hisses or swells: everybody out, stay upwind, call the fire service and say lithium. It burns without air, its smoke is poison, and it lights again hours later.",
                "Never leave a wet battery charging alone.",
                "If a cable smells or smokes: battery off first, then look.",
            ),
        ),
        Caution(
            "S20",
            "Working alone, working late",
            (
                "Two people for airbags, seats, lifting, hot work and first power. A phone in reach; stop when tired.",
                "Under 18: no solvents in a closed bay, no work above 85 dB(A), never alone, and home by the hour that the law says (EU 94/33/EC; from memory).",
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
                "Engine off, bay doors closed while tones or sweeps play.",
                "With an engine on, the air comes first: doors open or exhaust extraction coupled, and less level.",
                "Think of the neighbours: no sweeps in the quiet hours of the place.",
            ),
        ),
        Caution(
            "S23",
            "Engine running",
            (
                "Exhaust gas kills, and carbon monoxide has no smell. Outdoors, or exhaust extraction coupled to the pipe, or the bay doors wide open with moving air, before the engine starts.",
                "Never shut the bay with an engine on. A hybrid or start-stop engine starts by itself while the vehicle is ready: switch it off and take the key away before you shut anything.",
                "Headache, dizzy or sick: everybody into fresh air, then engine off, then medical help.",
                "Parking brake on, P or neutral, wheels chocked, nobody in front or behind.",
                "Belts turn and fans start by themselves: sleeves, hair, leads and tools away. A bonnet latch is never tricked with an engine that can start.",
            ),
        ),
        Caution(
            "S24",
            "Touch voltage",
            (
                "Over 50 V AC is dangerous to touch. Bare parts may carry 25 V AC in the dry and 12 V where it is damp or hands sweat (IEC 60364-4-41, clause 414.4.5, as BS 7671 has it). An amplifier reaches 50 V with 625 W into 4 Ω, 25 V with 156 W, 12 V with 36 W.",
                "Clip on and clip off with the amplifier off, with insulated tips. No hand on a terminal while a tone plays.",
                "Both wires of a bridged output are live.",
                "An amplifier's inside stays charged after it is off, often at more than 60 V: its lid stays on.",
            ),
        ),
        Caution(
            "S25",
            "Resins, foams, isocyanates",
            (
                "Polyurethane foam, adhesive and sealant and two-part resins can make you allergic for life.",
                "For trained people: in the EU by law since August 2023 where there is more than 0.1 % free diisocyanate (REACH annex XVII, entry 74; from memory).",
                "Data sheet, nitrile gloves, goggles, ventilation. Spray or heat: supplied air, or not at all. Never heat or grind fresh foam.",
                "Polyester: the peroxide hardener blinds. Goggles, eyewash; never hardener and accelerator together neat.",
                "Small pots: a full cup of resin can catch fire.",
            ),
        ),
        Caution(
            "S26",
            "Fire behaviour",
            (
                "Only goods with a burning rate of 100 mm/min or less by ISO 3795 on their data sheet go into a cabin or load space. No data sheet: not fitted.",
                "Nothing within 50 mm of heater elements, ballast resistors, lamp housings or behind an amplifier (common practice, no source); away from the exhaust tunnel.",
                "No open-cell foam where fuel or oil may reach.",
            ),
        ),
    )
}
