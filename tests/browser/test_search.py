"""The search waits until the reader turns to it, so that it does not slow the first answer."""

import json
import re
from pathlib import Path

import pytest
import yaml
from playwright.sync_api import Browser, Page, expect

from calculators.stages import find_calculator, slugs_known
from tests.conftest import ROOT, watched, without_python

PATIENCE = 90_000
RESULT = ".md-search-result__item"


def turn_to_search_on_a_phone(page: Page) -> None:
    page.locator(".dc-bottom").get_by_role("button", name="Search").click()


def turn_to_search_at_a_desk(page: Page) -> None:
    page.locator("[data-md-component=search-query]").click()


SCREENS = {"phone": (390, 844, turn_to_search_on_a_phone), "desk": (1280, 800, turn_to_search_at_a_desk)}


@pytest.mark.parametrize("screen", SCREENS)
def test_the_index_is_fetched_when_the_reader_turns_to_the_search(
    browser: Browser, server: str, screen: str
) -> None:
    width, height, turn_to_search = SCREENS[screen]
    size = {"width": width, "height": height}
    with watched(browser.new_context(viewport=size, service_workers="block")) as context:
        page = context.new_page()
        fetched: list[str] = []
        page.on("request", lambda request: fetched.append(request.url))
        page.goto(server + "look-up/delay-by-distance/")
        page.wait_for_selector("doorcard-calculator[data-live=answer]", timeout=PATIENCE)
        assert not [url for url in fetched if url.endswith("search_index.json")]
        turn_to_search(page)
        page.keyboard.type("delay", delay=50)
        expect(page.locator(RESULT).first).to_be_visible(timeout=PATIENCE)
        assert [url for url in fetched if url.endswith("search_index.json")]
        query = page.locator("[data-md-component=search-query]")
        page.keyboard.press("Escape")
        expect(query).not_to_be_focused()
        turn_to_search(page)
        if screen == "phone":  # A thumb does not take back what it asked before: it is typed over.
            page.keyboard.type("fuse")
            expect(query).to_have_value("fuse")


@pytest.mark.parametrize("missing", ["no network", "no such file"])
def test_a_search_without_its_index_says_so_and_tries_again(
    browser: Browser, server: str, missing: str
) -> None:
    context = browser.new_context(service_workers="block")
    with watched(context, ("search_index.json", "Failed to load resource")):
        without_python(context)
        page = context.new_page()
        index = re.compile(r"search_index\.json$")
        page.route(
            index,
            lambda route: route.abort() if missing == "no network" else route.fulfill(status=404),
        )
        page.goto(server + "look-up/delay-by-distance/")
        turn_to_search_at_a_desk(page)
        told = page.locator(".md-search-result__meta")
        expect(told).to_have_text(
            "The search cannot be fetched here. Turn to it again once there is a network."
        )
        page.unroute(index)
        page.evaluate("dispatchEvent(new Event('online'))")
        expect(told).to_have_text("Type to start searching")
        page.keyboard.type("delay")
        expect(page.locator(RESULT).first).to_be_visible(timeout=PATIENCE)


@pytest.mark.parametrize("closed_by", ["back", "Escape"])
def test_the_bottom_bar_is_on_the_screen_once_the_search_is_closed(
    browser: Browser, server: str, closed_by: str
) -> None:
    phone = browser.new_context(
        viewport={"width": 390, "height": 844}, is_mobile=True, has_touch=True, service_workers="block"
    )
    with watched(phone) as context:
        without_python(context)
        page = context.new_page()
        page.goto(server)
        turn_to_search_on_a_phone(page)
        page.keyboard.type("sub")
        expect(page.locator(RESULT).first).to_be_visible(timeout=PATIENCE)
        if closed_by == "back":
            page.locator(".md-search__icon[for=__search]").tap()
        else:
            page.keyboard.press("Escape")
        expect(page.locator("#__search")).not_to_be_checked()
        # The theme draws its circle for less than half a second: as many frames as that are looked at.
        widths = page.evaluate(
            """async () => {
              const widths = new Set();
              for (const end = performance.now() + 1000; performance.now() < end; ) {
                await new Promise(requestAnimationFrame);
                widths.add(innerWidth);
              }
              return [...widths];
            }"""
        )
        assert widths == [390]
        bottom = "document.querySelector('.dc-bottom').getBoundingClientRect().bottom"
        assert page.evaluate(bottom) == page.evaluate("visualViewport.height")


# A hit is tapped as soon as it stands there, in one step: the list is drawn anew at every key, and a link
# that has been taken out since would be followed past every listener of the page.
TAP_HIT = "(hit) => { const link = document.querySelector(hit); link?.click(); return link !== null; }"


def test_a_hit_is_shown_from_its_own_place(browser: Browser, server: str) -> None:
    """Not from where the page before had stood: another page from its top, a section by its heading."""
    with watched(
        browser.new_context(viewport={"width": 390, "height": 844}, service_workers="block")
    ) as context:
        without_python(context)
        page = context.new_page()
        page.goto(server + "stages/treatment/damping/")
        for query, hit, heading in (
            ("mistakes damping", "damping/#mistakes-and-how-each-shows", "h2[id^=mistakes]"),
            ("read back", "tune/#read-back", "h3#read-back"),
            ("torque m8", "look-up/torque/", "h1"),
        ):
            page.evaluate("scrollTo(0, 3000)")
            turn_to_search_on_a_phone(page)
            page.wait_for_selector("body[data-md-scrolllock]")
            page.keyboard.type(query)
            page.wait_for_function(TAP_HIT, arg=f"{RESULT} a[href$='{hit}']")
            page.wait_for_url(lambda address, hit=hit: address.endswith(hit))
            expect(page.locator("body[data-md-scrolllock]")).to_have_count(0)
            expect(page.locator("#__search")).not_to_be_checked()
            expect(page.locator(f".md-content article > {heading}")).to_be_in_viewport()
        assert page.evaluate("scrollY") == 0
        expect(page.locator(".md-content h1")).to_be_focused()


def test_an_address_that_asks_the_search_is_answered(browser: Browser, server: str) -> None:
    with watched(browser.new_context(service_workers="block")) as context:
        page = context.new_page()
        page.goto(server + "?q=delay")
        expect(page.locator(RESULT).first).to_be_visible(timeout=PATIENCE)


QUERIES = {
    # As a fitter asks in the bay.
    "look-up/delay-by-distance/": ("delay", "delay inches", "ms per cm", "distance samples"),
    "look-up/cable-length/": ("12 awg", "cable size", "wire gauge", "cca", "voltage drop cable"),
    "look-up/fuse-sizes/": ("fuse 60", "fuse 10mm", "fuse size", "80a fuse"),
    "look-up/crossover-levels/": ("lr4", "80 hz", "linkwitz", "butterworth slope"),
    "look-up/target-volts/": ("target volts", "multimeter gain volts"),
    "look-up/load-wiring/": ("ohm", "dual voice coil", "series parallel", "2 ohm load", "8 ohm", "8 Ω"),
    "look-up/battery-voltage/": ("battery voltage", "agm percent", "battery 12.4 v"),
    "look-up/days-parked/": ("days parked", "parasitic drain weeks", "ma sleep"),
    "look-up/hold-up-farads/": ("farad", "capacitor size"),
    "look-up/torque/": ("torque m8", "battery clamp nm"),
    "look-up/terminal-numbers/": ("remote wire", "terminal 30", "relay 87", "harness colours"),
    "look-up/third-octave-bands/": ("31 band frequencies", "third octave"),
    "look-up/decibels/": ("dbv", "db to volts"),
    "look-up/cure/": ("cure time", "glue drying cold", "sealant cure", "adhesive"),
    "look-up/sealed-box/": ("sealed box", "closed box q", "q of box", "net litres"),
    "look-up/cut-out-and-drill/": ("rivet nut", "drill size", "cut-out", "hole size"),
    "learn/hear-it/": ("blind test", "listen before after", "headphones"),
    "look-up/ears/": ("dba", "hearing minutes"),
    "stages/verification/noise/": (
        *("ground loop", "hum", "pop when switching off", "thump at turn on", "noise from indicator"),
    ),
    "stages/commissioning/gain/": ("set gain", "limiter clip", "clip light"),
    "stages/commissioning/channel-identity/": ("polarity wrong", "speakers wired backwards"),
    "stages/pick-up/chimes/": ("chimes too loud", "parking sensors quiet", "echo on phone call"),
    "stages/pick-up/tapping/": ("tap speaker wires",),
    "stages/tuning/levels/": ("tweeter too loud",),
    "stages/tuning/presets/": ("lost settings", "dsp lost tune"),
    "stages/design/supply/": ("second battery", "lights dim with bass"),
    "stages/tuning/equaliser/": ("eq", "equalizer", "headroom an equaliser needs", "equaliser headroom"),
    "stages/tuning/time-alignment/": ("time alignment",),
    "stages/tuning/tune/": (
        *("auto tune", "tuning sheet", "fewest filters", "tune from measurements", "tune both seats"),
        *("read back", "readback", "read back processor", "check typed values", "decimal mistake"),
        *("without microphone", "tune with microphone", "is there a tune by tape"),
    ),
    "stages/tuning/fir/": (
        *(
            "fir taps",
            "fir filter",
            "pre-ringing",
            "linear phase",
            "taps coefficients",
            "mixed phase correction",
        ),
    ),
    "stages/tuning/joining/": ("bass is late", "subwoofer by ear", "sub out of phase"),
    "stages/tuning/test-signals/": ("copy to a stick",),
    "learn/checks/safety/": ("safety quiz",),
    "learn/checks/tuning/": ("tuning quiz",),
    "stages/tuning/guided/": (
        *("guided tune", "step by step tune", "tune by phone", "resume interrupted tune", "redo a run"),
    ),
    "stages/wiring/turn-on/": ("turn on lead", "remote turn-on", "no turn on signal", "amp stays on"),
    "stages/wiring/return/": ("earth point", "chassis ground"),
    "stages/wiring/routing/": ("rca",),
    "stages/wiring/remote-level/": ("bass knob",),
    "stages/design/mass-and-crash/": (
        "fixing",
        "axle load",
        "payload",
        "bolts box",
        "rear axle",
        "box comes loose",
    ),
    "stages/design/front-speakers/": ("tweeter resonance", "window hits speaker", "speaker too deep"),
    "stages/fabrication/false-floor/": ("false floor", "floor thickness"),
    "stages/fabrication/enclosure/": ("dxf", "template", "build box"),
    "stages/fabrication/door-adaptors/": ("speaker ring", "spacer ring", "speaker does not fit"),
    "stages/fabrication/tweeter-place/": ("tweeter pod",),
    "stages/strip-down/trim/": (
        "broken clips",
        "remove trim",
        "clips",
        "trim clip broke",
        "door card won't come off",
    ),
    "stages/survey/space/": ("spare wheel well", "measure depth clay"),
    "stages/treatment/water-path/": (
        "side impact sensor",
        "door sensor unknown",
        "drain holes",
        "door leaks",
        "water in door",
    ),
    "stages/treatment/sealing/": ("inner skin", "membrane", "membrane torn"),
    "stages/treatment/behind-driver/": ("absorber",),
    "stages/treatment/floor/": ("road noise floor",),
    "stages/strip-down/make-safe/": ("airbag", "airbag unplug", "high voltage hybrid"),
    "stages/quote/quote/": ("discount vat", "estimate deposit", "quote with options"),
    "stages/quote/plan/": ("job plan by the hour", "bay plan", "critical path", "two people days"),
    "stages/quote/parts/": ("tool kit trays", "consumables clips"),
    "job/": ("job file", "jobsheet"),
    "stages/brief/interview/": ("interview", "brief complaint"),
    "stages/brief/limits/": ("consent boxes", "limits agreed"),
    "stages/survey/walk-round/": ("walk round", "condition record", "odometer"),
    "stages/verification/supply-restart-heat/": ("amp hot",),
    "stages/verification/road/": ("road proof", "emergency call"),
    "stages/handover/demonstration/": ("blind compare", "matched bypass"),
    "stages/handover/documents/": ("glove box card", "documents sheets"),
    "stages/handover/after-care/": ("aftercare", "yearly visit"),
    "stages/faults/hiss/": ("hiss",),
    # As a fitter says what is wrong, the right page is where it is found or mended.
    "stages/faults/protect/": (
        *("protect", "amp cuts out", "amp keeps cutting out", "amplifier cuts out when loud"),
        *("amp goes into protect", "sub cuts out", "amp won't turn on"),
    ),
    "stages/faults/nothing-plays/": (
        *("nothing works", "no sound", "no sound at all", "head unit dead", "fuse keeps blowing"),
        *("blown fuse", "wire gets hot", "cable hot", "smells burning", "fuse holder melted"),
    ),
    "stages/faults/silent-channel/": (
        *("dead speaker", "speaker not working", "tweeter blown", "sub does not play", "one speaker dead"),
    ),
    "stages/faults/thin-bass/": ("no bass", "weak bass", "bass has gone", "sub sounds weak"),
    "stages/faults/image/": (
        "one side louder",
        "left louder than right",
        "voices from the left",
        "image wanders",
    ),
    "stages/faults/rasp/": (
        *("tweeter harsh", "crackling speaker", "rasping noise", "distorted at high volume"),
    ),
    "stages/faults/restart/": (
        *("cuts out when cranking", "radio drops out when starting", "processor reboots"),
    ),
    "stages/faults/battery-flat/": (
        *(
            "dead battery won't start",
            "battery flat overnight",
            "flat battery in the morning",
            "drains battery",
        ),
    ),
    "stages/faults/warning-lamp/": ("airbag light on", "dash warning light", "error code"),
    "stages/faults/now-and-then/": (
        "wet carpet",
        "carpet damp",
        "after battery change",
        "after garage visit",
    ),
    "stages/faults/engine-whine/": ("alternator whine", "whine with engine", "alternator noise", "whistle"),
    # As an apprentice asks.
    "stages/design/subwoofer/": (
        "subwoofer",
        "ported box",
        "qts",
        "xmax",
        "port length",
        "slot air speed",
        "chuffing",
    ),
    "stages/design/passive-crossovers/": ("resistor", "zobel"),
    "stages/treatment/damping/": ("sound deadening", "how many sheets", "mats falling off"),
    "stages/verification/rattles/": ("rattle", "rattle in door", "number plate buzz", "trim creaks"),
    "stages/design/architecture/": ("dsp",),
    # As a customer asks.
    "having-it-done/cost/": ("price", "how much does it cost", "how long", "deposit", "cost hours"),
    "having-it-done/ears-battery-warranty/": (
        "warranty",
        "children too loud",
        "lease insurance",
        "guarantee",
        "insurer",
    ),
    "having-it-done/tone/": ("booms", "dull sound", "sounds harsh", "boomy bass", "sounds muddy"),
    "having-it-done/timing/": (
        "voices come from the door",
        "singer in the middle",
    ),
    "having-it-done/amplifier/": ("louder", "distorts when loud"),
    "having-it-done/processor/": ("brain box",),
    "having-it-done/bass-knob/": ("turn the bass down", "too much bass"),
    "having-it-done/": ("better sound in my car",),
    "having-it-done/subwoofer/": ("deep bass missing", "kick drum"),
    "having-it-done/treatment/": ("quieter car", "door buzzes"),
    "having-it-done/hold-up/": ("silent at the lights", "music stops at lights"),
    "having-it-done/two-seats/": ("passenger complains",),
    "having-it-done/front-speakers/": ("clear voices",),
    "having-it-done/which-first/": ("which first", "best upgrade first"),
    "having-it-done/questions/": (
        "questions to ask",
        "trust fitter",
        "find a good shop",
        "choose installer",
        "ask the shop",
    ),
    "having-it-done/two-quotes/": ("compare quotes", "two offers", "cheaper quote"),
    "having-it-done/what-can-go-wrong/": ("water in footwell", "who pays", "something went wrong"),
    "having-it-done/undoing-it/": ("sell the car", "leased car", "put back to original"),
    "having-it-done/first-week/": ("first week",),
    "having-it-done/more-questions/": ("electric range", "own parts"),
    "learn/glossary/": ("glossary", "dictionary", "words terms", "jargon", "definitions"),
}
"""The page that must come first: those of a close reading, and others written before the words were."""

ASK = """
  const index = await (await fetch(address + "search/search_index.json")).json();
  const config = JSON.parse(document.querySelector("#__config").textContent);
  const worker = new Worker(new URL(config.search, location));
  const hear = () => new Promise((settle) => (worker.onmessage = ({ data }) => settle(data)));
  worker.postMessage({ type: 0, data: { ...index, options: { suggest: false } } });
  await hear();
  const ask = async (query) => {
    worker.postMessage({ type: 2, data: query });
    return (await hear()).data.items;
  };
"""
"""Starts the theme's search, which is then asked one query at a time."""
SEARCH = f"""
async ([address, queries]) => {{
  {ASK}
  const found = {{}};
  for (const query of queries) {{
    found[query] = (await ask(query)).map(([first]) => first.location.split("#")[0]);
  }}
  worker.terminate();
  return found;
}}
"""


def test_the_page_that_is_wanted_comes_first(page: Page, server: str) -> None:
    page.goto(server + "sources/")
    wanted = {query: address for address, queries in QUERIES.items() for query in queries}
    assert len(wanted) >= 60
    found = page.evaluate(SEARCH, [server, list(wanted)])
    first = {query: (pages or ["nothing"])[0] for query, pages in found.items()}
    assert first == wanted


MISSED = f"""
async ([address, query]) => {{
  {ASK}
  const [[{{ location: first, terms }}]] = await ask(query);
  worker.terminate();
  return [first, Object.keys(terms).filter((word) => !terms[word])];
}}
"""
"""The first page that is found, and the words that it is said to lack."""


@pytest.mark.parametrize(
    ("query", "first", "missed"),
    [
        ("hiss?", "stages/faults/hiss/", []),
        ("how do I set gain?", "stages/commissioning/gain/", []),
        ("battery's voltage!", "look-up/battery-voltage/", []),
        ("hiss, unicorn.", "stages/faults/hiss/", ["unicorn"]),
    ],
)
def test_no_page_is_said_to_lack_a_mark_or_a_small_word(
    page: Page, server: str, query: str, first: str, missed: list[str]
) -> None:
    page.goto(server + "sources/")
    assert page.evaluate(MISSED, [server, query]) == [first, missed]


def test_the_title_of_a_form_finds_a_page_where_it_stands_among_the_first_three(
    page: Page, server: str, site: Path
) -> None:
    page.goto(server + "sources/")
    slugs = {find_calculator(slug).title: slug for slug in slugs_known()}
    found = page.evaluate(SEARCH, [server, list(slugs)])
    three = {
        title: [(site / place / "index.html").read_text("utf-8") for place in pages[:3]]
        for title, pages in found.items()
    }
    lost = [
        title
        for title, pages in three.items()
        if not any(f'data-calculator="{slugs[title]}"' in html for html in pages)
    ]
    assert lost == []


def test_the_search_shows_sentences_alone(site: Path) -> None:
    index = json.loads((site / "search" / "search_index.json").read_text(encoding="utf-8"))
    for entry in index["docs"]:
        assert not re.search(r"[\d.−]{14,}", entry["text"]), f"cells run together: {entry['location']}"
        assert "Copy this table" not in entry["text"], entry["location"]
        assert "Caution S" not in entry["text"], entry["location"]
        words = re.sub("<[^>]+>", " ", entry["text"])
        assert not re.search("[a-z]{3}[A-Z][a-z]{2}", words), f"words run together: {entry['location']}"


def test_words_belong_to_pages_that_stand() -> None:
    files = yaml.safe_load((ROOT / "docs" / "search-words.yml").read_text(encoding="utf-8"))
    assert [name for name in files if not (ROOT / "docs" / name).is_file()] == []
