"""Published examples of the lab methods and of the law of propagation, computed by the program's own functions."""

import numpy as np

from bodytest.lab.absorption import absorption
from bodytest.lab.density import apparent_porosity, bulk_density
from bodytest.lab.moisture import loss_on_ignition, water_of_plasticity
from bodytest.lab.propagation import propagate
from bodytest.lab.shrinkage import compound_shrinkage, linear_shrinkage, volume_shrinkage
from bodytest.lab.water import water_density
from bodytest.quantities import QUANTITY_BY_KEY
from bodytest.stats.combined_freedom import combined_freedom
from bodytest.verify.examples import Answer, Inputs


def discs(inputs: Inputs) -> Answer:
    """Compute means and SDs over fired discs: shrinkage in %, absorption and porosity as fractions, kg/m³."""
    across = linear_shrinkage(_means(inputs["dry_diameter_mm"]), _means(inputs["fired_diameter_mm"]))
    along = linear_shrinkage(_means(inputs["dry_height_mm"]), _means(inputs["fired_height_mm"]))
    fired, saturated, suspended = (inputs[name] for name in ("fired_g", "saturated_g", "suspended_g"))
    values = {
        "diameter_shrinkage": across,
        "volume_shrinkage": compound_shrinkage(across, across, along),
        "absorption": absorption(fired, saturated) / 100.0,
        "porosity": apparent_porosity(fired, saturated, suspended) / 100.0,
        "density": 1000.0 * bulk_density(fired, saturated, suspended, inputs["water_density_kg_m3"] / 1000.0),
    }
    return {
        f"{name}_{figure}": float(one)
        for name, bars in values.items()
        for figure, one in (("mean", bars.mean()), ("sd", bars.std(ddof=1)))
    }


def _means(readings: list[list[float]]) -> list[float]:
    return [sum(of_disc) / len(of_disc) for of_disc in readings]


def quantity(inputs: Inputs) -> Answer:
    """Compute any quantity from one bar's readings, through its record."""
    return {"value": QUANTITY_BY_KEY[inputs["quantity"]].value(inputs["readings"])}


def kaolinite(inputs: Inputs) -> Answer:
    """Compute the loss on ignition of pure kaolinite from its molar masses."""
    whole = inputs["kaolinite_g_mol"]
    return {"loss_percent": loss_on_ignition(whole, whole - inputs["waters"] * inputs["water_g_mol"])}


def plasticity(inputs: Inputs) -> Answer:
    """Compute the water of plasticity from its two published parts."""
    dry = inputs["dry_g"]
    wet = dry + np.asarray(inputs["pore_water_g"]) + np.asarray(inputs["shrinkage_water_g"])
    return {"water_of_plasticity": water_of_plasticity(wet, dry)}


def volume(inputs: Inputs) -> Answer:
    """Compute volume from linear shrinkage."""
    return {"volume_percent": volume_shrinkage(inputs["linear_percent"])}


def water(inputs: Inputs) -> Answer:
    """Compute the density of water."""
    return {"rho_kg_m3": water_density(inputs["t_C"])}


def end_gauge(inputs: Inputs) -> Answer:
    """Compute the uncertainty budget of an end gauge, l = lS + d − lS (δα·θ + αS·δθ)."""
    from scipy.special import stdtrit

    length, offset, expansion, temperature, difference, deviation = inputs["values"]
    change = difference * temperature + expansion * deviation
    slopes = (1.0 - change, 1.0, -length * deviation, -length * difference, -length * temperature, -length * expansion)
    combined = propagate(slopes, inputs["u"])
    parts = [abs(slope * uncertainty) for slope, uncertainty in zip(slopes, inputs["u"], strict=True)]
    freedoms = [np.inf if known is None else known for known in inputs["dof"]]
    freedom = combined_freedom([part**2 for part in parts], freedoms)
    coverage = stdtrit(np.floor(freedom), 0.995)
    return {
        "l": length + offset - length * change,
        "u_c": combined,
        "contributions": parts,
        "v_eff": freedom,
        "k99": coverage,
        "U99": coverage * combined,
    }


def impedance(inputs: Inputs) -> Answer:
    """Compute resistance, reactance and impedance with their uncertainties from correlated readings."""
    observed = np.array(inputs["observations_V_mA_rad"]) * [1.0, 1e-3, 1.0]
    voltage, current, phase = observed.mean(axis=0)
    uncertainties = observed.std(axis=0, ddof=1) / np.sqrt(len(observed))
    correlation = np.corrcoef(observed, rowvar=False)
    whole, real, imaginary = voltage / current, np.cos(phase), np.sin(phase)
    slopes = {
        "R": (real / current, -whole * real / current, -whole * imaginary),
        "X": (imaginary / current, -whole * imaginary / current, whole * real),
        "Z": (1.0 / current, -whole / current, 0.0),
    }
    values = {"R": whole * real, "X": whole * imaginary, "Z": whole}
    return {
        name: [values[name], propagate(slope, uncertainties, correlation=correlation)] for name, slope in slopes.items()
    } | {"r": correlation[np.triu_indices(3, 1)]}
