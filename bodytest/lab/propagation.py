"""The law of propagation of uncertainty for any first-order model, with or without correlation."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from bodytest.lab.ratio import FloatArray


def propagate(
    sensitivities: Sequence[npt.ArrayLike],
    standard_uncertainties: Sequence[npt.ArrayLike],
    *,
    correlation: npt.ArrayLike | None = None,
) -> FloatArray:
    """Return the combined standard uncertainty of a value computed from several inputs.

    Parameters:
        sensitivities: partial derivative c_i of the value by each input [unit of the value per unit of the input].
        standard_uncertainties: standard uncertainty u_i of each input [unit of the input].
        correlation: correlation coefficients r_ij of the inputs, a square table [ratio]; independent when None.

    Equation: u_c² = Σ_i Σ_j c_i c_j u_i u_j r_ij

    Reference: JCGM 100:2008 (GUM) 5.1.2 equation 10, 5.2.2 equation 16. Worked value: GUM H.1, end gauge, contributions
        25, 9.7, 2.9 and 16.7 nm.

    >>> print(round(propagate([1.0, 1.0, 5000062.3, 575.007], [25.0, 9.7, 5.8e-7, 0.029])))
    32
    """
    parts = [
        np.asarray(c, np.float64) * np.asarray(u, np.float64)
        for c, u in zip(sensitivities, standard_uncertainties, strict=True)
    ]
    table = np.eye(len(parts)) if correlation is None else np.asarray(correlation, dtype=np.float64)
    variance: FloatArray = np.zeros(())
    for row, part in enumerate(parts):
        for column, other in enumerate(parts):
            if table[row, column] != 0.0:
                variance = variance + table[row, column] * part * other
    return np.sqrt(np.maximum(variance, 0.0))
