"""What the pages on gain and polarity order, in which order, and with which figures."""

import json
import re
from typing import Any

import yaml

from calculators.declaring import run_values
from calculators.site.look_up import table
from calculators.stages import find_calculator
from tests.conftest import ROOT
from tests.site.test_electrics_pages import place, section, steps
from tests.site.test_pages import fences, sources

PAGES = sources()
JOB = json.loads((ROOT / "docs" / "job.json").read_text(encoding="utf-8"))
STRUCTURE = PAGES["stages/design/gain-structure/"]
IDENTITY = PAGES["stages/commissioning/channel-identity/"]
GAIN = PAGES["stages/commissioning/gain/"]
TARGETS = PAGES["look-up/target-volts/"]


def test_no_tone_before_the_plugs_are_off_and_none_on_before_the_filters_are_back() -> None:
    lines = steps(GAIN)
    off = place(lines, "speaker plugs off at the amplifier, tweeters first")
    bypassed = place(lines, "high-pass, low-pass, equaliser, delay and limiter bypassed")
    kept = place(lines, "input trim of the gain structure stays in")
    tone = place(lines, "play 400 Hz")
    stop = place(lines, "less than a tenth of the target .* stop")
    loaded = place(lines, "load the filters of this channel again")
    plugged = place(lines, "plug the woofers and the subwoofer in, then the tweeters")
    assert off == 0 < bypassed < kept < tone < stop < loaded < plugged
    assert "read them back" in lines[loaded].lower()
    assert not re.search(r"\b1 kHz\b", " ".join(lines))


def test_a_tweeter_sees_no_cell_and_at_most_a_volt() -> None:
    lines = steps(IDENTITY)
    assert place(lines, "all speaker plugs off") == 0
    meter = place(lines, "tweeters' channels once more, with 50 Hz and 400 Hz")
    never = place(lines, "never a tweeter")
    volt = place(lines, "1 V peak at most")
    on = place(lines, "amplifier off, tweeter on")
    assert meter < never < volt < on
    assert "never with the line on the amplifier" in " ".join(lines).lower()


def test_polarity_goes_by_the_first_excursion() -> None:
    lines = steps(IDENTITY)
    judged = lines[place(lines, "judge by the first excursion over a tenth of the largest")]
    assert "Not by the largest" in judged
    unsure = lines[place(lines, "not certain is an answer")]
    assert "20 dB" in unsure
    assert "under a fifth" in unsure
    assert "unlike each other" in unsure


def test_the_amplifier_clips_first_on_every_page_that_says_an_order() -> None:
    assert "the amplifier first" in STRUCTURE
    assert "minus the headroom" in section(STRUCTURE, "Accept when")
    for address, markdown in PAGES.items():
        assert not re.search(r"amplifier (clips )?last\b(?! to clip\")", markdown), address


def test_cautions_stand_before_the_hand_acts() -> None:
    for page in (IDENTITY, GAIN):
        before = page.partition("## Steps")[0]
        keys = {key for word, body in fences(before) if word == "caution" for key in body.split()}
        assert {"S09", "S14", "S22", "S24"} <= keys
    assert {"S09", "S14", "S24"} <= set(find_calculator("gain-voltage").cautions)


def test_target_volts_say_in_each_head_which_file_is_played() -> None:
    """300 W into 4 ohm, by hand: 34.64 V, and that 5 dB down and 5 dB up."""
    *_, body = (body for word, body in fences(TARGETS) if word == "look-up")
    _, _, settings = body.partition("\n")
    built = table(find_calculator("gain-voltage"), yaml.safe_load(settings))
    heads = re.findall(r'<th scope="col">(.*?)</th>', built)
    assert heads[1:] == [
        "No headroom: 0 dBFS file",
        "Same setting: −5 dBFS file",
        "5 dB headroom: −5 dBFS file",
        "Then a 0 dBFS file would ask for (do not play)",
    ]
    (row,) = re.findall(r"<tr><th scope=\"row\">300\W+W</th>(.*?)</tr>", built)
    assert re.findall(r"<td>(.*?)</td>", row) == ["34.64", "19.48", "34.64", "61.60"]


def test_the_order_of_commissioning() -> None:
    """Tweeters die between first power and tuning: who is who, then gain, then tuning."""
    lines = (ROOT / "mkdocs.yml").read_text(encoding="utf-8").splitlines()
    order = [
        place(lines, re.escape(page))
        for page in (
            "commissioning/first-power.md",
            "commissioning/channel-identity.md",
            "commissioning/gain.md",
            "tuning/crossovers.md",
        )
    ]
    assert order == sorted(order)


def test_no_cell_reaches_a_tweeter_through_a_passive_crossover() -> None:
    lines = steps(IDENTITY)
    never = lines[place(lines, "Never a tweeter")]
    assert "take its lead off the crossover first" in never
    assert "whichever is higher" in IDENTITY


def test_the_noise_page_promises_no_silence_that_its_limit_is_not() -> None:
    """0.5 mV is some 20 dB at the ear: faint, not unheard. What is unheard stands beside it."""
    noise = PAGES["stages/verification/noise/"]
    commissioning, tweeter = JOB["commissioning"], JOB["tweeter"]

    def heard(volts: float, others: list[dict[str, float]]) -> Any:
        inputs = {
            "noise_voltage": volts,
            "load": tweeter["load"],
            "sensitivity": commissioning["tweeter_sensitivity"],
            "distance": commissioning["tweeter_distance"],
            "others": others,
        }
        return run_values(find_calculator("noise-at-ear"), inputs).result

    assert heard(commissioning["noise_limit"], []).verdict.startswith("faint")
    assert heard(commissioning["silent_noise"], []).verdict.startswith("not heard")
    both = heard(commissioning["tweeter_noise"], commissioning["other_tweeters"])
    assert both.total > both.level + 1.0
    assert "tweeter.total" in noise
    accept = section(noise, "Accept when")
    assert "No hiss" not in accept
    assert "faint at most" in accept


def test_a_support_charger_comes_with_its_cautions() -> None:
    for page in (IDENTITY, GAIN):
        keys = {key for word, body in fences(page) if word == "caution" for key in body.split()}
        assert {"S02", "S03", "S19"} <= keys


def test_the_gain_is_set_with_flattening_in() -> None:
    """The chain on paper has it: bypassed, each channel would end too quiet by what it takes off the tone."""
    kept = steps(GAIN)[place(steps(GAIN), "input trim of the gain structure stays in")]
    assert "so do the filters of [flattening]" in kept
    assert "Flattening" in steps(STRUCTURE)[place(steps(STRUCTURE), "stage of its own")]
    flattening = steps(PAGES["stages/pick-up/flattening/"])
    assert "the change of the loudest tone, of a hiss" in flattening[place(flattening, "gain chain")]
