"""The restricted likelihood of bars scattered by batches and loads, and the weights that go with it.

Everything works on what the likelihood needs of the data, `Cells`, and on many data sets of one layout at once: leading
axes of ``means``, ``within_squares`` and of the variance ratios are data sets. The factor with more levels (the outer
one) has a diagonal part in the equations and is eliminated in closed form; what is left has as many rows as the other.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from bodytest.stats.design import CellLayout, FloatArray, IntArray, cell_layout, sums_by


@dataclass(frozen=True)
class Factors:
    """The random factors of a layout, the one with more levels outside; one level or confounding leaves one factor."""

    layout: CellLayout
    """The layout."""

    @property
    def load_outside(self) -> bool:
        """Whether loads are the outer factor."""
        return self.layout.loads >= self.layout.batches

    @cached_property
    def outer(self) -> IntArray:
        """Level of the outer factor of each cell."""
        return self.layout.load if self.load_outside else self.layout.batch

    @cached_property
    def inner(self) -> IntArray | None:
        """Level of the inner factor of each cell, None where there is one factor or none."""
        if self.layout.design not in ("crossed", "nested"):
            return None
        return self.layout.batch if self.load_outside else self.layout.load

    @cached_property
    def outer_sizes(self) -> FloatArray:
        """Bars of each level of the outer factor."""
        return np.bincount(self.outer, weights=self.layout.sizes).astype(np.float64)

    @cached_property
    def columns(self) -> FloatArray:
        """The constant and the inner factor's indicators, shape (cells, 1 + inner levels)."""
        constant = np.ones((len(self.outer), 1))
        if self.inner is None:
            return constant
        return np.hstack([constant, np.eye(int(self.inner.max()) + 1)[self.inner]])

    @cached_property
    def totals(self) -> FloatArray:
        """Sums of the columns over the bars of each outer level, shape (outer levels, columns)."""
        return self.by_outer(self.columns.T).T

    @cached_property
    def products(self) -> FloatArray:
        """Products of each two of these sums, shape (outer levels, columns²)."""
        return (self.totals[:, :, None] * self.totals[:, None, :]).reshape(len(self.totals), -1)

    @cached_property
    def gram(self) -> FloatArray:
        """Sums over all bars of the products of each two columns, shape (columns, columns)."""
        return (self.columns * self.layout.sizes[:, None]).T @ self.columns

    def by_outer(self, of_cells: FloatArray) -> FloatArray:
        """Sum over the bars of each outer level, shape (…, cells) → (…, outer levels)."""
        return sums_by(of_cells * self.layout.sizes, self.outer)


@dataclass(frozen=True)
class Cells:
    """Layout, cell means and pooled sum of squares within cells: sufficient for means and variances."""

    layout: CellLayout
    """Which batches stood in which loads, with how many bars."""
    means: FloatArray
    """Mean of each cell, shape (…, cells)."""
    within_squares: FloatArray
    """Sum over all bars of the squared distance to their cell's mean, shape (…)."""

    @cached_property
    def factors(self) -> Factors:
        """The random factors of the layout."""
        return Factors(self.layout)

    @cached_property
    def centre(self) -> FloatArray:
        """Mean of all bars, shape (…)."""
        return np.asarray(self.means @ self.layout.sizes / self.layout.bars)

    @cached_property
    def distances(self) -> FloatArray:
        """Cell means less the centre, so that leading digits that are all alike cost no precision."""
        return np.asarray(self.means - self.centre[..., None])

    @cached_property
    def outer_totals(self) -> FloatArray:
        """Sum of the distances over the bars of each outer level, shape (…, outer levels)."""
        return self.factors.by_outer(self.distances)

    @cached_property
    def column_totals(self) -> FloatArray:
        """Sum of the distances over the bars of each column, shape (…, columns)."""
        return np.asarray((self.distances * self.layout.sizes) @ self.factors.columns)

    @cached_property
    def squares(self) -> FloatArray:
        """Sum of the squared distances of all bars, shape (…)."""
        return np.asarray(self.within_squares + np.square(self.distances) @ self.layout.sizes)


def cells_of(values: npt.ArrayLike, batch_codes: npt.ArrayLike, load_codes: npt.ArrayLike) -> Cells:
    """Return layout, means and pooled sum of squares of the cells, by two passes over the values.

    Parameters:
        values: one value for each bar [unit of the quantity].
        batch_codes: batch of each bar, any whole numbers [code].
        load_codes: load of each bar, any whole numbers [code].

    Equation: SS_within = Σ_c Σⱼ (y_cj − ȳ_c)²

    Reference: NIST/SEMATECH e-Handbook 7.4.3.3; the worked value is its example, SS within 17.452.

    >>> level = [0] * 5 + [1] * 5 + [2] * 5
    >>> y = [6.9, 5.4, 5.8, 4.6, 4.0, 8.3, 6.8, 7.8, 9.2, 6.5, 8.0, 10.5, 8.1, 6.9, 9.3]
    >>> round(float(cells_of(y, level, level).within_squares), 3)
    17.452
    """
    bars = np.asarray(values, dtype=np.float64)
    layout, cell = cell_layout(batch_codes, load_codes)
    centre = bars.mean()
    means = centre + np.bincount(cell, weights=bars - centre) / layout.sizes
    return Cells(layout, means, np.asarray(np.square(bars - means[cell]).sum()))


@dataclass(frozen=True)
class Solved:
    """The mixed model solved for given variance ratios; shapes as the data sets.

    It holds the sums that are left when both factors are eliminated; what follows from them is computed when asked for.
    """

    cells: Cells
    """The data."""
    precision: FloatArray
    """1'V⁻¹1."""
    weighted: FloatArray
    """1'V⁻¹(y − centre)."""
    residual: FloatArray
    """Q of `solve`."""
    log_det: FloatArray
    """ln |V|."""
    shrink: FloatArray
    """θₒ/(1 + n θₒ) of each outer level, shape (…, outer levels)."""
    effects: FloatArray
    """What the inner factor takes from the constant, shape (…, inner levels)."""

    @property
    def mean(self) -> FloatArray:
        """Generalised least squares mean."""
        return np.asarray(self.weighted / self.precision + self.cells.centre)

    @cached_property
    def weights(self) -> FloatArray:
        """Weight of each cell's mean in it, shape (…, cells)."""
        factors = self.cells.factors
        effects = np.concatenate([np.ones_like(self.precision)[..., None], -self.effects], axis=-1)
        pull = effects @ factors.columns.T - (self.shrink * (effects @ factors.totals.T))[..., factors.outer]
        return np.asarray(pull * self.cells.layout.sizes / self.precision[..., None])

    @property
    def mean_variance(self) -> FloatArray:
        """Variance of that mean over the variance of a bar."""
        return np.asarray(1.0 / self.precision)

    @property
    def bar_variance(self) -> FloatArray:
        """Variance of a bar within its cell that is likeliest with these ratios."""
        return np.asarray(self.residual / (self.cells.layout.bars - 1.0))

    @property
    def criterion(self) -> FloatArray:
        """−2 log restricted likelihood."""
        freedom = self.cells.layout.bars - 1.0
        scatter = freedom * (1.0 + np.log(2.0 * np.pi * self.residual / freedom))
        return np.asarray(scatter + self.log_det + np.log(self.precision))


def solve(cells: Cells, outer_ratio: FloatArray, inner_ratio: FloatArray) -> Solved:
    """Solve for the mean and the restricted likelihood, with the variance of bars profiled out.

    Parameters:
        cells: the data.
        outer_ratio: variance between levels of the outer factor over that between bars, shape (…) [ratio].
        inner_ratio: the same for the inner factor [ratio].

    Equation: V = I + θₒ ZₒZₒ' + θᵢ ZᵢZᵢ'; −2 log L = (N − 1)(1 + ln(2π Q/(N − 1))) + ln |V| + ln 1'V⁻¹1,
        Q = (y − μ)'V⁻¹(y − μ), μ = 1'V⁻¹y/1'V⁻¹1; V⁻¹ by Woodbury's identity, outer factor first

    Reference: Bates, Mächler, Bolker, Walker 2015, doi 10.18637/jss.v067.i01, equation 42; the worked value is the
        published one of the dyestuff data (Davies & Goldsmith 1972, 6.4), 319.6543.

    >>> layout = cell_layout([0] * 30, [bar // 5 for bar in range(30)])[0]
    >>> dyestuff = Cells(layout, np.array([1505, 1528, 1564, 1498, 1600, 1470.0]), np.array(58830.0))
    >>> found = solve(dyestuff, np.array(1764.05 / 2451.25), np.array(0.0))
    >>> print(f"{found.criterion:.4f} {found.mean:.1f}")
    319.6543 1527.5
    """
    factors = cells.factors
    inflation = 1.0 + factors.outer_sizes * outer_ratio[..., None]
    shrink = outer_ratio[..., None] / inflation
    width = factors.columns.shape[1]
    gram = factors.gram - (shrink @ factors.products).reshape(*shrink.shape[:-1], width, width)
    right = cells.column_totals - (shrink * cells.outer_totals) @ factors.totals
    squares = cells.squares - (shrink * np.square(cells.outer_totals)).sum(axis=-1)
    log_det = np.log(inflation).sum(axis=-1)
    precision, weighted, effects = gram[..., 0, 0], right[..., 0], gram[..., 0, 1:]
    if factors.inner is not None:
        ratio = inner_ratio[..., None, None]
        matrix = np.eye(width - 1) + ratio * gram[..., 1:, 1:]
        constant, values = np.broadcast_arrays(gram[..., 1:, 0], right[..., 1:])
        solved = np.linalg.solve(matrix, ratio * np.stack([constant, values], axis=-1))
        effects = solved[..., 0]
        precision = precision - (constant * effects).sum(axis=-1)
        weighted = weighted - (constant * solved[..., 1]).sum(axis=-1)
        squares = squares - (values * solved[..., 1]).sum(axis=-1)
        log_det = log_det + np.linalg.slogdet(matrix)[1]
    residual = np.maximum(squares - np.square(weighted) / precision, np.finfo(np.float64).tiny)
    return Solved(cells, precision, weighted, residual, log_det, shrink, effects)
