"""Response of a body to firing: fitted curves, and the temperatures read off them."""

from dataclasses import dataclass


@dataclass(frozen=True)
class CrossingTemperature:
    """A temperature read off a fitted response."""

    celsius: float | None
    """Estimate, °C; None when not reached in the tested range."""
    low: float | None
    """Lower end of its confidence interval, °C; None when that end lies outside the tested range."""
    high: float | None
    """Upper end of it."""
    note: str | None = None
    """A sentence, e.g. ``not reached in the tested range``."""


@dataclass(frozen=True)
class FiringResponse:
    """Absorption and shrinkage of one body and direction against peak temperature."""

    body: str
    """Name of the body."""
    direction: str
    """Direction of the shrinkage."""
    absorption_method: str | None
    """As on the Lab table."""
    firings: tuple[str, ...]
    """Codes, in order of temperature."""
    temperatures_c: tuple[float, ...]
    """Their temperatures, °C."""
    nominal: tuple[bool, ...]
    """True where the temperature is the nominal one of a cone."""
    grid_c: tuple[float, ...]
    """Temperatures of the fitted curves, °C."""
    curves: dict[str, tuple[float, ...]]
    """Fitted values on the grid, by quantity key (``total_shrinkage``, ``absorption``)."""
    bands_low: dict[str, tuple[float, ...]]
    """Lower end of the confidence band at each temperature by itself; no key where nothing is known of the scatter."""
    bands_high: dict[str, tuple[float, ...]]
    """Upper end of it."""
    at_limit: CrossingTemperature | None
    """Where absorption falls to the stated limit; None without a limit."""
    densest: CrossingTemperature | None
    """Where shrinkage peaks and turns."""
    firing_range: tuple[float, float] | None
    """Estimates of where it is tight and where it is densest, °C; None when either was not reached. Plan with
    ``safe_window``."""
    summary: str
    """The message, with the safe window or what would show more."""
    # Additions.
    safe_window: tuple[float, float] | None = None
    """From where absorption is surely below the limit to where shrinkage surely has not turned, °C; None where there
    is no such temperature or it is not known."""
    test_next_c: float | None = None
    """A firing there would show more of the safe window, °C."""
    exact_temperatures_only: bool = False
    """True where no uncertainty was stated for some temperature, so that the intervals take it to be exact."""
    shrinkage_quantity: str | None = None
    """Key of the shrinkage: ``total_shrinkage``, or ``firing_shrinkage`` where wet lengths were not measured."""
