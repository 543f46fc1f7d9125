"""The running job's moments that teach: the cable that fails and the next that passes, the hold-up
that fails and the next size, the margin that is signed for. If one goes, the pages lose their story.
"""

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.asking import answer
from tests.running_job import schedule_of

JOB = json.loads(Path("docs/job.json").read_text(encoding="utf-8"))
SUPPLY = JOB["supply"]
FEED = {
    "supply": SUPPLY["voltage"],
    **{name: SUPPLY[name] for name in (
        "current", "length", "allowed_drop", "return", "ground", "extra", "body_resistance", "route",
        "insulation", "load_fraction",
    )},
}  # fmt: skip


def test_the_current_of_the_feed_is_that_of_the_amplifiers() -> None:
    draw = answer("current-draw", amplifiers=JOB["amplifier"]["rows"], supply=SUPPLY["voltage"])
    assert SUPPLY["current"] == pytest.approx(draw.peak_current, abs=0.5)
    assert SUPPLY["third_current"] == pytest.approx(draw.third_current, abs=0.5)


def test_one_cable_fails_and_the_next_passes() -> None:
    cable = answer("cable", **FEED)
    assert cable.size == pytest.approx(SUPPLY["area"])
    rows = {row.name: row for row in cable.sizes}
    assert rows["35 mm²"].verdict == "passes"
    # 25 mm² fails twice: in the engine bay it may not carry the fuse, and anywhere it loses too much.
    assert rows["25 mm²"].verdict == "too thin for its fuse"
    assert rows["25 mm²"].drop_fraction > SUPPLY["allowed_drop"]
    carpet = answer("cable", **FEED | {"route": "carpet", "insulation": "general-pvc"})
    assert carpet.size == pytest.approx(SUPPLY["area"])
    assert carpet.decided_by == "the voltage drop"
    assert {row.name: row.verdict for row in carpet.sizes}["25 mm²"] == "drops too much"
    assert SUPPLY["area_that_fails"] == 25e-6


def test_the_fuse_of_the_job_is_that_of_its_page() -> None:
    """The same things read, so that sheet and page look for a fuse of the same short circuit."""
    page = Path("docs/stages/design/supply.md").read_text(encoding="utf-8")
    fence = page.split("```worked\nfuse\nas: main\n")[1].split("```")[0]
    asked = {name for line in fence.splitlines() if (name := line.partition(":")[0]) != "title"}
    (run,) = (run for run in JOB["sheet"]["runs"] if run["name"] == "feed-fuse")
    assert set(run["inputs"]) == asked


def test_the_engine_bay_asks_for_another_sheath() -> None:
    for sheath, rating in (("general-pvc", None), ("vehicle-class-b", None), ("vehicle-class-c", 70.0)):
        fuse = answer(
            "fuse", current=SUPPLY["current"], area=SUPPLY["area"], route="engine-bay", insulation=sheath
        )
        assert fuse.rating == rating


def test_aluminium_counted_as_copper_would_fail() -> None:
    clad = answer("cable", **FEED, conductor="copper-clad-aluminium")
    assert clad.size > SUPPLY["area"]


def test_the_fuse_fits_load_and_cable() -> None:
    fuse = answer(
        "fuse",
        current=SUPPLY["current"],
        area=SUPPLY["area"],
        route=SUPPLY["route"],
        insulation=SUPPLY["insulation"],
        distance=SUPPLY["fuse_distance"],
        load_fraction=SUPPLY["load_fraction"],
    )
    assert fuse.rating == 70.0
    assert fuse.protected
    assert fuse.fault_passes


def test_the_held_relay_is_part_of_what_is_held_up() -> None:
    # A relay held from the node takes its coil's 0.15 A at 12 V, on top of the processor's 14 W.
    coil = next(run for run in JOB["wiring"]["runs"] if run["end"] == "Wake-up relay")["current"]
    assert JOB["hold_up"]["power"] == pytest.approx(JOB["processor"]["power"] + 12 * coil)
    held = next(run for run in JOB["wiring"]["runs"] if run["name"] == "Held turn-on")["current"]
    assert held >= coil


def test_the_next_hold_up_passes_its_page_and_the_label_size_fails() -> None:
    names = (
        *("start", "duration", "isolator", "derate", "charge_resistor", "resistor_rating", "leg_fuse"),
        "charging_voltage",
    )
    device = {
        "power": JOB["hold_up"]["power"],
        "minimum": JOB["processor"]["minimum"],
        **{name: JOB["hold_up"][name] for name in names},
    }
    fails = answer("hold-up", **device, capacitance=JOB["hold_up"]["capacitance_that_fails"])
    assert not fails.passes
    hold = answer(
        "hold-up",
        **device,
        capacitance=JOB["hold_up"]["capacitance"],
        voltage_rating=JOB["hold_up"]["voltage_rating"],
    )
    # The page's own limits: a tenth or more to spare, full again in 20 s, a fuse that stays whole.
    assert hold.passes
    assert hold.margin >= 0.1
    assert hold.refill_time <= 20.0
    assert hold.refill_current <= JOB["hold_up"]["leg_fuse"] <= hold.opening_fuse
    assert JOB["hold_up"]["resistor_rating"] >= hold.resistor_wanted
    assert hold.advice == ()
    leg = answer(
        "pre-charge", capacitance=JOB["hold_up"]["capacitance"], bleed_resistance=JOB["hold_up"]["bleed"]
    )
    assert leg.bleed_time < 600


def test_the_amplifier_rides_through_today_and_fails_the_winter_margin() -> None:
    restart = JOB["restart"]
    today = {
        "current": restart["current"],
        "minimum": JOB["amplifier"]["minimum"],
        "start": JOB["hold_up"]["start"],
        "duration": restart["below_9"],
        "profile": "measured",
    }
    now = answer("hold-up", **today, dip=restart["at_amplifier"])
    assert now.capacitance == 0.0
    assert 0.0 < now.winter_margin < 1.0
    winter = answer("hold-up", **today, dip=restart["at_amplifier"] - 1.0)
    assert winter.capacitance > 0.0


def test_the_charging_budget_passes_and_the_days_are_plenty() -> None:
    alternator, battery = JOB["alternator"], JOB["battery"]
    budget = answer(
        "charging-budget",
        alternator=alternator["current"],
        idle_fraction=alternator["idle_fraction"],
        vehicle_load=alternator["vehicle_load"],
        system_current=SUPPLY["third_current"],
    )
    assert budget.idle_share < 0.8
    before, after = (
        answer("battery-drain", drains=battery[name], capacity=battery["capacity"]).days
        for name in ("drains_before", "drains_after")
    )
    assert before > after > 30.0


def test_the_subwoofer_is_legal_in_series_and_not_in_parallel() -> None:
    coils = JOB["subwoofer"]["coils"]
    least = JOB["amplifier"]["subwoofer_lowest_load"]
    loads = {
        wiring: answer("speaker-load", coils=coils, wiring=wiring, amplifier_minimum=least)
        for wiring in ("series", "parallel")
    }
    assert loads["series"].verdict == "a legal load"
    assert loads["parallel"].verdict == "too low: do not connect it"


def test_the_schedule_passes_whole() -> None:
    schedule = answer("wiring-schedule", **schedule_of(JOB))
    assert schedule.verdict == "all runs pass"
    feeds = {line.name: line for line in schedule.runs}
    assert feeds["Main feed"].size == pytest.approx(SUPPLY["area"])
    assert feeds["Main feed"].fuse == 70.0
    amplifier = next(device for device in schedule.devices if device.name == "Amplifier")
    assert 0.9 * 0.03 < amplifier.drop_fraction <= 0.03


def chain_of(stages: str, **inputs: Any) -> Any:
    commissioning = JOB["commissioning"]
    return answer(
        "gain-chain",
        source=JOB["feeds"]["map"][0]["ceiling"],
        source_noise=JOB["gain"]["source_noise"],
        stages=JOB["gain"][stages],
        headroom=JOB["gain"]["tweeter_headroom"] if "trimmed" in stages else commissioning["overlap"],
        reserve=JOB["gain"]["reserve"],
        load=JOB["tweeter"]["load"],
        sensitivity=commissioning["tweeter_sensitivity"],
        distance=commissioning["tweeter_distance"],
        limit=commissioning["noise_limit"],
        **inputs,
    )


def test_the_gains_of_the_job_are_those_that_the_chain_asks_for() -> None:
    gains = JOB["gain"]
    assert chain_of("stages").setting == pytest.approx(gains["front_gain"], abs=5e-3)
    assert chain_of("subwoofer_stages").setting == pytest.approx(gains["subwoofer_gain"], abs=5e-3)
    tweeter = JOB["amplifier"]["channel_power"] * 10 ** (-6.0 / 10)
    assert JOB["commissioning"]["tweeter_power"] == pytest.approx(tweeter, abs=0.05)
    assert gains["front_gain"] - gains["tweeter_gain"] == pytest.approx(6.0)
    assert JOB["commissioning"]["overlap"] - gains["tweeter_headroom"] == pytest.approx(6.0)
    inside, behind = chain_of("trimmed_in_the_processor"), chain_of("trimmed_at_the_amplifier")
    assert inside.chain[-1].voltage == pytest.approx(behind.chain[-1].voltage, rel=1e-3)


def test_the_tweeters_trim_at_the_amplifier_is_what_makes_the_noise_pass() -> None:
    limit = JOB["commissioning"]["noise_limit"]
    assert chain_of("stages").noise > limit
    assert chain_of("trimmed_at_the_amplifier").noise < 0.9 * limit
    assert chain_of("stages").first_to_clip == "Amplifier"


def test_full_scale_in_as_full_scale_out_clips_inside_the_processor() -> None:
    assert chain_of("trim_as_it_used_to_be").chain[4].clips_at == pytest.approx(-4.5, abs=0.02)


def box_of(volume: float, **more: Any) -> Any:
    box, subwoofer = JOB["boxes"]["subwoofer"], JOB["subwoofer"]
    given = {name: box[name] for name in (
        "fs", "qts", "qms", "vas", "re", "source_resistance", "high_pass", "slope",
    )}  # fmt: skip
    return answer(
        "sealed-box",
        volume=volume,
        sd=subwoofer["area"],
        xmax=subwoofer["excursion"],
        power=subwoofer["power"],
        driver_power=JOB["commissioning"]["subwoofer_rating"],
        rated_impedance=box["impedance"],
        **given | more,
    )


def test_the_box_that_fills_the_well_fails_and_the_smaller_passes() -> None:
    box = JOB["boxes"]["subwoofer"]
    large, small = box_of(box["volume_that_fails"]), box_of(box["volume"])
    assert large.qtc < 0.65 < small.qtc < 0.85
    # Neither bears full power: the smaller one is kept whole by its high-pass and its limiter.
    assert small.peak_excursion > JOB["subwoofer"]["excursion"]
    bare = box_of(box["volume"], high_pass=None)
    assert bare.stroke_voltage < 0.8 * small.stroke_voltage
    (danger,) = (advice.message for advice in small.advice if advice.danger)
    assert "gives 34.6 V; for long the coil bears 28.3 V" in danger
    held = (JOB["commissioning"]["subwoofer_rating"] * box["impedance"]) ** 0.5 * 10 ** (-3 / 20)
    assert bare.stroke_voltage < held < small.stroke_voltage


def test_the_parts_of_the_well_s_height_fit_in_it() -> None:
    well = JOB["boxes"]["well"]
    stack = sum(size for name, size in well.items() if name != "depth")
    assert stack == pytest.approx(0.145)
    assert stack <= well["depth"]
    # A box for the larger volume is at least so much higher: the well's whole floor is 0.59 m across.
    boxes = JOB["boxes"]["subwoofer"]
    more = (boxes["volume_that_fails"] - boxes["volume"]) / (math.pi * 0.59**2 / 4)
    assert stack + more > well["depth"]


def test_the_subwoofer_s_sensitivity_is_that_of_its_parameters() -> None:
    model = box_of(JOB["boxes"]["subwoofer"]["volume"]).sensitivity - 20 * math.log10(2.83 / 2)
    assert JOB["subwoofer"]["sensitivity"] == pytest.approx(model, abs=0.05)
    measured = answer("driver-parameters", **JOB["boxes"]["measured"])
    box = JOB["boxes"]["subwoofer"]
    assert measured.qts == pytest.approx(box["qts"], rel=0.02)
    assert measured.vas == pytest.approx(box["vas"], rel=0.02)


def door_of(excursion: float, leak_area: float) -> Any:
    door = JOB["boxes"]["door"]
    return answer(
        "door-speaker",
        **{name: door[name] for name in ("fs", "qts", "qms", "vas", "re", "source_resistance")},
        door_volume=door["volume"], leak_area=leak_area, sd=door["area"], xmax=excursion,
        power=JOB["amplifier"]["channel_power"], high_pass=JOB["crossovers"]["subwoofer"]["frequency"],
    )  # fmt: skip


def test_one_woofer_runs_out_of_travel_and_the_other_does_not() -> None:
    door, corner = JOB["boxes"]["door"], JOB["crossovers"]["subwoofer"]["frequency"]
    assert door_of(door["excursion_that_fails"], door["leak_area"]).minimum_high_pass > corner
    assert door_of(door["excursion"], door["leak_area"]).minimum_high_pass < corner
    flat = door_of(door["excursion"], 0.0)
    per_watt = 20 * math.log10(2 / 1) - 10 * math.log10(door["re"])  # 2 V, which are 1 W in 4 ohm.
    qes = door["qts"] * door["qms"] / (door["qms"] - door["qts"])
    efficiency = 4 * math.pi**2 / 343.2**3 * door["fs"] ** 3 * door["vas"] / qes
    assert JOB["woofer"]["sensitivity"] == pytest.approx(
        112.159 + 10 * math.log10(efficiency) + per_watt, abs=0.1
    )
    assert flat.leak_tuning is None


def test_one_woofer_is_too_deep_and_the_other_fits() -> None:
    fit = {
        name: value for name, value in JOB["boxes"]["fit"].items() if name not in ("depth_that_fails", "stop")
    }
    fit["xmax"] = JOB["boxes"]["fit"]["stop"]
    assert answer("driver-fit", **fit).fits
    assert not answer("driver-fit", **fit | {"depth": JOB["boxes"]["fit"]["depth_that_fails"]}).fits


def test_the_tweeter_s_corner_is_allowed_at_its_slope_and_not_at_half_of_it() -> None:
    corner = JOB["crossovers"]["tweeter"]
    asked = {
        "resonance": JOB["tweeter"]["resonance"],
        "corner": corner["frequency"],
        "family": corner["family"],
    }
    assert answer("tweeter-limit", slope=corner["slope"], **asked).allowed
    assert not answer("tweeter-limit", slope=12.0, **asked).allowed


def test_the_limiters_of_the_job() -> None:
    commissioning = JOB["commissioning"]
    travel = box_of(JOB["boxes"]["subwoofer"]["volume"]).stroke_voltage
    assert commissioning["subwoofer_stroke"] == pytest.approx(travel, abs=0.05)
    clips = (commissioning["front_clip"], commissioning["subwoofer_clip"])
    for clip, rating in zip(clips, (16.73, 34.64), strict=True):
        assert clip * 10 ** (-0.5 / 20) == pytest.approx(rating, abs=0.01)


def test_schedule_and_hold_up_agree_on_the_capacitor_s_leg() -> None:
    names = (
        "start",
        "duration",
        "isolator",
        "capacitance",
        "charge_resistor",
        "leg_fuse",
        "charging_voltage",
    )
    hold = answer(
        "hold-up",
        power=JOB["hold_up"]["power"],
        minimum=JOB["processor"]["minimum"],
        **{name: JOB["hold_up"][name] for name in names},
    )
    (leg,) = (
        run for run in JOB["wiring"]["runs"] if run["end"] == "Capacitor" and run["kind"] == "capacitor"
    )
    assert leg["current"] >= hold.refill_current
    (line,) = (run for run in answer("wiring-schedule", **schedule_of(JOB)).runs if run.name == leg["name"])
    assert line.fuse == JOB["hold_up"]["leg_fuse"]
    assert hold.fuse_verdict.startswith("carries every refill")


def test_the_quote_of_the_job_to_the_last_unit() -> None:
    """Worked out by hand: 52 h at 72.00, parts of 2002.10, 8 % of them consumables, 20 % tax."""
    asked = {name: value for name, value in JOB["quote"].items() if name != "stays"} | {"deposit": ""}
    whole = answer("quote", **asked)
    assert (whole.hours, whole.consumables.amount) == ("52 h", "160.17")
    assert (whole.net.amount, whole.tax.amount, whole.total.amount) == ("5906.27", "1181.25", "7087.52")
    assert (whole.contingency.amount, whole.contingency_total.amount) == ("374.40", "449.28")
    less = answer("quote", **asked | {"discount": "5 %", "deposit": "30 %"})
    assert (less.discount.amount, less.net.amount, less.tax.amount) == ("295.31", "5610.96", "1122.19")
    assert (less.total.amount, less.deposit.amount, less.left.amount) == ("6733.15", "2019.95", "4713.20")
    for tax, by_rate, by_line in (
        ("0.22", "1299.38", "1299.39"), ("0.075", "442.97", "442.98"),
        ("0.081", "478.41", "478.40"), ("0.08875", "524.18", "524.19"),
    ):  # fmt: skip
        assert answer("quote", **asked | {"tax": tax}).tax.amount == by_rate
        assert answer("quote", **asked | {"tax": tax, "tax_by": "line"}).tax.amount == by_line
    for tax in ("0.19", "0.2", "0.21", "0.25", "0.077"):
        one, other = (answer("quote", **asked | {"tax": tax, "tax_by": by}) for by in ("rate", "line"))
        assert one.tax == other.tax


def test_two_days_on_paper_are_three_in_the_bay() -> None:
    paper, whole, bench = (
        answer("job-hours", tasks=JOB["plan"][name]) for name in ("paper", "tasks", "bench")
    )
    assert (paper.work, paper.longest_chain, paper.elapsed, paper.days_worked) == (29.0, 15.0, 16.75, 2.0)
    tuned = next(row for row in whole.tasks if row.name == "Tune Driver")
    assert (tuned.finishes, whole.elapsed, whole.days_worked) == ("day 2, 17:00", 17.0 + 6.75, 3.0)
    survey = float(JOB["quote"]["lines"][0]["hours"])
    assert whole.work + bench.work + survey == 52.0


def one_filter(kind: str, frequency: float, gain: float, q: float, at: Any) -> Any:
    """Level, dB, at 48 kHz by the formulas of the audio equaliser cookbook."""
    a, turn = 10 ** (gain / 40), 2 * math.pi * frequency / 48e3
    alpha, c, late = math.sin(turn) / (2 * q), math.cos(turn), np.exp(-2j * np.pi * at / 48e3)
    if kind == "Peak":
        above, below = (1 + alpha * a, -2 * c, 1 - alpha * a), (1 + alpha / a, -2 * c, 1 - alpha / a)
    else:
        assert kind == "Low shelf"
        s, up, down = 2 * math.sqrt(a) * alpha, a + 1, a - 1
        above = (a * (up - down * c + s), 2 * a * (down - up * c), a * (up - down * c - s))
        below = (up + down * c + s, -2 * (down + up * c), up + down * c - s)
    return 20 * np.log10(abs(np.polyval(above[::-1], late) / np.polyval(below[::-1], late)))


def test_flattening_is_a_stage_of_every_chain() -> None:
    """Its filters by themselves, at the ceiling step's loudest tone and over a white noise of the band."""
    feeds = JOB["feeds"]
    flat = answer("flatten", curve=feeds["usual"], summed=True, other_step=feeds["ceiling"])
    rows = [(row.kind, row.frequency, row.gain, row.q) for row in flat.filters]
    at = np.arange(30.0, 16_000.0, 5.0)
    does = sum(one_filter(*row, at) for row in rows)
    loudest = feeds["ceiling"]["frequency"][int(np.argmax(feeds["ceiling"]["level"]))]
    assert loudest == 2500.0
    assert flat.loudest_change == pytest.approx(float(np.interp(loudest, at, does)), abs=0.05)
    assert flat.hiss_change == pytest.approx(10 * math.log10(float(np.mean(10 ** (does / 10)))), abs=0.05)
    for name, stages in JOB["gain"].items():
        if isinstance(stages, list):
            (stage,) = (stage for stage in stages if stage["name"] == "Flattening")
            assert stage["gain"] == pytest.approx(flat.loudest_change, abs=0.05), name
            assert stage["hiss"] == pytest.approx(flat.hiss_change, abs=0.05), name
