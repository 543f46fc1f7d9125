"""Sixteen tasks of a fitter with one free hand, each by its shortest way from the home page, counted.

Taps on the screen, screens scrolled and signs typed, against what they took before the forms were made
for a thumb. The key that leads on to the next field lies under the thumb while it types: it is counted by
itself. What a field then holds is worked out here too, so that the way leads to the right answer. Without a
network, and with numbers typed badly, are the last two tasks: `test_in_the_bay.py` and `test_calculators.py`
have them. Every second task is gone through, in the long tests all, which together may take so much.
"""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from calculators.declaring import run_typed
from calculators.presenting.results import result_html
from calculators.stages import find_calculator
from tests.browser.test_calculators import calculator, field, typed
from tests.conftest import SOAK, share, watched, without_python

MOST_TAPS, MOST_SCREENS = 47, 28.0
SCREEN = 784
TOP, BOTTOM = 60, 844 - 64
"""What can be seen of the page, between the theme's bar and ours."""


@dataclass
class Thumb:
    """One hand on a phone, and what it has done."""

    page: Page
    taps: int = 0
    screens: float = 0.0
    signs: int = 0
    next_keys: int = 0

    def see(self, target: Locator) -> None:
        """Scroll until it can be read."""
        expect(target).to_be_visible()
        box = target.bounding_box()
        assert box is not None
        high = min(box["height"], BOTTOM - TOP)
        by = box["y"] - TOP if box["y"] < TOP else max(0.0, box["y"] + high - BOTTOM)
        self.page.evaluate("(by) => scrollBy({ top: by, behavior: 'instant' })", by)
        self.screens += abs(by) / SCREEN

    def tap(self, target: Locator) -> None:
        self.see(target)
        target.tap()
        self.taps += 1

    def go(self, name: str | re.Pattern[str]) -> None:
        """Tap a link of the page, by its words."""
        link = self.page.locator("article, .dc-bottom").get_by_role("link", name=name).first
        address = link.evaluate("(link) => link.href")
        self.tap(link)
        self.page.wait_for_url(address)
        self.page.wait_for_load_state("load")  # Only then does the page stand at the place of its address.
        stood = None
        while stood != (stood := self.page.evaluate("[scrollY, document.body.scrollHeight]")):
            self.page.wait_for_timeout(150)

    def type(self, target: Locator, text: str) -> None:
        """Tap into a field, which selects what stands there, and type."""
        self.tap(target)
        self.page.keyboard.type(text)
        self.signs += len(text)

    def next(self, target: Locator, text: str) -> None:
        """Go on by the key on the keys, and type."""
        for _ in range(6):
            self.page.keyboard.press("Enter")
            self.next_keys += 1
            if target.evaluate("(field) => field === document.activeElement"):
                break
        expect(target).to_be_focused()
        self.page.keyboard.type(text)
        self.signs += len(text)

    def choose(self, target: Locator, label: str) -> None:
        """Two taps: the list, and the line of it."""
        self.tap(target)
        target.select_option(label=label)
        self.taps += 1


def reads(where: Locator, *words: str) -> None:
    """The answer to what the fields hold says so."""
    outcome = run_typed(find_calculator(where.get_attribute("data-calculator") or ""), typed(where))
    assert outcome.errors == (), outcome.errors
    told = re.sub(r"<[^>]+>|&nbsp;|\s|\u202f", " ", result_html(outcome))
    for word in words:
        assert word in re.sub(r" +", " ", told), (word, told[:2000])


def delays(thumb: Thumb) -> None:
    """Five speakers, a cold day, steps of 0.02 ms."""
    thumb.go("Delay by distance")
    form = calculator(thumb.page, "delay")
    distances = ("78", "92", "141", "149", "187")
    thumb.type(field(form, "speakers[0].distance"), distances[0])
    for number, text in enumerate(distances[1:], 1):
        thumb.next(field(form, f"speakers[{number}].distance"), text)
    thumb.type(field(form, "temperature"), "5")
    thumb.tap(form.locator(".dc-more > summary"))
    thumb.type(field(form, "step"), "0.02")
    reads(form, "3.26", "2.84", "1.38", "1.14")


def delays_in_inches(thumb: Thumb) -> None:
    thumb.go("Delay by distance")
    thumb.go("Your numbers")
    form = calculator(thumb.page, "delay")
    thumb.choose(field(form, "speakers[].distance:unit"), "in")
    distances = ("30.7", "36.2", "55.5", "58.7", "73.6")
    thumb.type(field(form, "speakers[0].distance"), distances[0])
    for number, text in enumerate(distances[1:], 1):
        thumb.next(field(form, f"speakers[{number}].distance"), text)
    reads(form, "3.1")


def ten_centimetres(thumb: Thumb) -> None:
    thumb.go("Delay by distance")
    thumb.see(thumb.page.get_by_role("row", name=re.compile("^10 cm")).first)


def a_slope(thumb: Thumb) -> None:
    """Levels of 24 dB/oct an octave off."""
    thumb.go("Crossover levels")
    thumb.see(thumb.page.locator(".dc-table").first)


def tweeter(thumb: Thumb) -> None:
    """High-pass at 3 kHz, 12 dB/oct: is the tweeter safe?"""
    thumb.go("Crossover levels")
    thumb.go("The tweeter's corner")
    form = calculator(thumb.page, "tweeter-limit")
    thumb.choose(field(form, "corner:unit"), "kHz")
    thumb.type(field(form, "corner"), "3")
    reads(form, "resonance")


def cable(thumb: Thumb) -> None:
    """92 A over 5.8 m, back by the body: cable, fuse and what is lost in the body."""
    thumb.go("Cable size")
    form = calculator(thumb.page, "cable")
    thumb.type(field(form, "current"), "92")
    thumb.type(field(form, "length"), "5.8")
    reads(form, "mm²", "fuse", "Lost in the body")


def three_twin_coils(thumb: Thumb) -> None:
    """Three twin 4 Ω subwoofers, an amplifier good for 1 Ω."""
    thumb.go("Load wiring")
    form = calculator(thumb.page, "speaker-load")
    thumb.type(field(form, "coils[0].impedance"), "4")
    thumb.next(field(form, "coils[0].count"), "3")
    thumb.type(field(form, "amplifier_minimum"), "1")
    reads(form, "2.67")


def parked(thumb: Thumb) -> None:
    """12.35 V at rest, 45 mA asleep: what charge, and how long does it last?"""
    thumb.go("Battery voltage")
    thumb.see(thumb.page.get_by_role("row", name=re.compile("^12.4")).first)
    thumb.go("days parked")
    form = calculator(thumb.page, "battery-drain")
    thumb.type(field(form, "drains[0].current"), "45")
    while form.locator(".dc-remove").count() > 1:
        thumb.tap(form.locator(".dc-remove").last)
    thumb.type(field(form, "rest_voltage"), "12.35")
    reads(form, "days")


def fuse(thumb: Thumb) -> None:
    thumb.go("Fuse sizes")
    thumb.see(thumb.page.get_by_role("row", name=re.compile("^10 mm²")).first)


def volts(thumb: Thumb) -> None:
    """120 W into 3 Ω."""
    thumb.go("Target volts")
    form = calculator(thumb.page, "gain-voltage")
    thumb.type(field(form, "power"), "120")
    thumb.next(field(form, "load"), "3")
    reads(form, "18.97")


def torque_and_terminals(thumb: Thumb) -> None:
    thumb.go("Look-up")
    thumb.go(re.compile("^Torque"))
    thumb.see(thumb.page.locator("article table").first)
    thumb.go("Look-up")
    thumb.go(re.compile("^Terminal numbers"))
    thumb.see(thumb.page.get_by_role("row", name=re.compile("^15")).first)


def farads(thumb: Thumb) -> None:
    """30 W for 1.5 s."""
    thumb.go("Look-up")
    thumb.go(re.compile("^Hold-up farads"))
    form = calculator(thumb.page, "hold-up")
    thumb.type(field(form, "power"), "30")
    thumb.type(field(form, "duration"), "1.5")
    reads(form, "F")


def hump(thumb: Thumb) -> None:
    """A hump of five bands, as measured, flattened by 31 sliders."""
    thumb.go("All stages")
    thumb.go("Equaliser")
    thumb.go("31 bands, solved")
    form = calculator(thumb.page, "graphic-equaliser")
    thumb.choose(field(form, "given"), "measured: bring it to the target")
    bands = ("2", "6", "3", "1", "1")
    thumb.type(field(form, "gains[8]"), bands[0])
    for number, text in enumerate(bands[1:], 9):
        thumb.next(field(form, f"gains[{number}]"), text)
    reads(form, "160 Hz")


def ears(thumb: Thumb) -> None:
    """How long at 96 dB(A)?"""
    thumb.go("Look-up")
    thumb.go(re.compile("^Ears"))
    thumb.see(thumb.page.get_by_role("row", name=re.compile("^9[67]")).first)


TASKS: dict[Callable[[Thumb], None], tuple[int, float, int]] = {
    delays: (9, 5.6, 18),
    delays_in_inches: (7, 2.8, 20),
    ten_centimetres: (1, 0.0, 0),
    a_slope: (1, 0.0, 0),
    tweeter: (8, 3.0, 1),
    cable: (12, 2.7, 5),
    three_twin_coils: (11, 8.0, 3),
    parked: (10, 6.2, 9),
    fuse: (1, 1.3, 0),
    volts: (4, 4.5, 4),
    torque_and_terminals: (4, 1.6, 0),
    farads: (6, 3.7, 5),
    hump: (18, 15.1, 51),
    ears: (2, 1.6, 0),
}
"""Each task with the taps, screens and signs that it took before."""


@pytest.fixture
def phone(browser: Browser) -> Iterator[Page]:
    """A phone, without Python: what answers say is worked out beside it."""
    made = browser.new_context(
        viewport={"width": 390, "height": 844},
        has_touch=True,
        service_workers="block",
        reduced_motion="reduce",
    )
    with watched(made) as context:
        without_python(context)
        context.add_init_script("indexedDB.open = () => { throw new DOMException('refused'); };")
        yield context.new_page()


def test_sixteen_tasks_by_the_shortest_way(phone: Page, server: str) -> None:
    done = {}
    for task in share(list(TASKS), 2):
        phone.goto(server)
        thumb = Thumb(phone)
        task(thumb)
        done[task.__name__] = (thumb.taps, round(thumb.screens, 1), thumb.signs, thumb.next_keys)
    worse = [
        f"{task.__name__}: {done[task.__name__]}, before {before}"
        for task, before in TASKS.items()
        if any(now > then for now, then in zip(done.get(task.__name__, ()), before, strict=False))
    ]
    assert not worse, (worse, done)
    if not SOAK:
        return
    assert sum(taps for taps, *_ in done.values()) <= MOST_TAPS, done
    assert sum(screens for _, screens, *_ in done.values()) <= MOST_SCREENS, done
