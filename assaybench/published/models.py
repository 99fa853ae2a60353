"""The models that published cases are put to, by name: plain functions over the core."""

from collections.abc import Callable
from typing import TypeAlias

from assaybench.published import (
    models_assay,
    models_balance,
    models_budgets,
    models_circuit,
    models_compare,
    models_lines,
    models_sampling,
    models_units,
)

Found: TypeAlias = dict[str, float | str]
"""Results of a model by name, the unit in the name; a text where the answer is a text."""

Model: TypeAlias = Callable[..., Found]
"""A model takes the inputs of its case by name."""

MODELS: dict[str, Model] = {
    model.__name__: model
    for model in (
        models_budgets.sum_of_terms,
        models_budgets.expanded,
        models_budgets.tared_weighing,
        models_budgets.end_gauge,
        models_budgets.impedance,
        models_budgets.cadmium_standard,
        models_budgets.potassium_hydrogen_phthalate,
        models_budgets.thermal_expansion,
        models_budgets.logarithm,
        models_budgets.logarithm_of_rectangular,
        models_budgets.sum_of_squares,
        models_budgets.sum_of_squares_at_zero,
        models_lines.thermometer_line,
        models_lines.calibration_reading,
        models_lines.calibration_limits,
        models_balance.least_mass_by_spread,
        models_balance.least_mass_by_rounding,
        models_balance.rounding_of_two_readings,
        models_balance.limits_of_net,
        models_balance.limits_of_paired_blank,
        models_balance.method_detection_factors,
        models_balance.permissible_errors,
        models_compare.welch_test,
        models_compare.paired_test,
        models_compare.against_certified,
        models_compare.conformity_below,
        models_compare.conformity_between,
        models_compare.critical_ranges,
        models_compare.one_laboratory,
        models_compare.two_laboratories,
        models_compare.share_of_count,
        models_units.rounded_result,
        models_units.rounded_numbers,
        models_units.converted,
        models_units.grade_of_bead,
        models_units.ounces_pennyweights_grains,
        models_units.sieve_row,
        models_units.tyler_of_opening,
        models_units.tolerances_by_formula,
        models_assay.metallics_of_sample,
        models_assay.metallics_pro_rata,
        models_assay.cupel_losses,
        models_assay.error_of_grade,
        models_assay.reported_to_pennyweight,
        models_assay.raw_fineness,
        models_assay.fine_masses,
        models_assay.least_silver,
        models_assay.mean_without_highest,
        models_assay.spread_of_groups,
        models_assay.spread_of_pair,
        models_assay.spread_of_median,
        models_assay.true_mass,
        models_circuit.two_products,
        models_circuit.yields_by_element,
        models_circuit.recovery_of_masses,
        models_circuit.grade_of_grains,
        models_circuit.limits_of_count,
        models_circuit.same_count,
        models_sampling.sample_mass,
        models_sampling.largest_sizes,
        models_sampling.locked_ore,
        models_sampling.liberation,
        models_sampling.particles_for_share,
        models_sampling.increments,
        models_sampling.count_limits,
        models_sampling.rate_limits,
        models_sampling.rates_compared,
        models_sampling.counts_e_test,
    )
}
