"""The unit in which the sources of published values print them, by the name of the output or of its column.

A name means one quantity in one unit everywhere. What a source prints in mm or µF a row gives in m or F.
"""

UNITS = {
    "": (
        "a1 a2 area_ratio b0 b1 b2 chance damping distortion drift drop_fraction file_size full_loss "
        "loss_before needed_loss niosh_dose power_share power_times q_used qes ql_found qms qtc qts "
        "ratio samples sheets slowness state_of_charge"
    ),
    "A": "average_current eighth_current fault_current peak_current rating third_current wanted",
    "F": "capacitance",
    "H": "inductance",
    "Hz": (
        "acoustic_corner band_centre band_high band_low capacitor_corner coincidence f3 fc first_mode "
        "first_mode_clamped first_notch found_frequency gain_high gain_low inside_from leak_tuning "
        "lowest_corner lowest_frequency_1 lowest_frequency_2 nearest_corner next_low notches "
        "opposed_centre opposed_high opposed_low overlap_high overlap_low peaks resonance six_lost_at "
        "step_frequency three_lost_at transition turned_frequency volume_transition"
    ),
    "J": "energy",
    "N": "greatest_force pull pull_each shear shear_each",
    "T·m": "force_factor",
    "V": (
        "drop feed_noise_limit full_scale_voltage level_in loudest noise noise_limit_in pad_noise "
        "peak_voltage source_noise_limit source_peak source_voltage test_voltage thermal_voltage unaided "
        "voltage voltage_boosted"
    ),
    "W": (
        "full_scale_power heat load_heat load_heat_clipped load_rating_needed measured_power peak_power "
        "power source_power travel_power"
    ),
    "dB": (
        "above_loudest acoustic_level attenuation bass_lift before below_full boom_left by_excursion "
        "by_power capacitor_loss ceiling_level clip_margin clips_at crest_factor decibels found_loss "
        "found_loss_at full_level gain gain_at gain_found headroom heard_level high_level_at hole_cap "
        "largest_change level level_at level_at_resonance level_dbu level_loss level_trade limiter lost "
        "low_level low_level_at lowest_note mass_gain mean_1 mean_2 mean_loss next_note noise_at_ear "
        "note_after octave_level off_axis_loss pad_level peak peak_level peak_threshold per_band quieter "
        "scatter second_level setting shifted_by step_most stroke_threshold sum_level thermal_threshold "
        "total trim turned_loss turned_loss_at widest_spread without"
    ),
    "dB(A)": "daily_level eu_levels time_weighted_level",
    "days": "days",
    "kg": "front_change mass payload_left rear_change total_mass",
    "kg/m²": "before_mass layer_mass",
    "m": (
        "deflection excursion_at_power gap_width glass_clearance image middle opening_spare "
        "peak_excursion port_length quarter spacer_needed stop_distance tenth wavelength"
    ),
    "m/N": "compliance",
    "m/s": "humid_speed speed",
    "m²": "board_area size",
    "m³": "gross vas vas_of_box",
    "s": (
        "bleed_time charge_time cured_after decay_bare delay delay_for_phase delay_found delay_trade "
        "for_both for_driver for_passenger group_delay held late_1 lead left left_delay left_over "
        "niosh_allowed rate_constant right_delay second_harmonic_lead silent_after stop_time "
        "time_constant true_length weekly_listening weekly_listening_child"
    ),
    "°": "capacitor_turn image_angle phase phase_between",
    "Ω": "leg_used load nearest_resistance resistance",
}
"""Of each unit, the names; nothing stands for a plain number, a ratio or a share."""
UNIT_OF = {name: unit for unit, names in UNITS.items() for name in names.split()}
