"""Published data computed twice, by statsmodels and by the program."""

import dataclasses
import warnings

import numpy as np
import pytest
from typer.testing import CliRunner

from bodytest.cli.app import app
from bodytest.verify import cross_checks
from bodytest.verify.cross_checks import CROSS_CHECKS, cross_check
from bodytest.verify.examples import published_examples

pytestmark = pytest.mark.core

EXAMPLES = {example.id: example for example in published_examples()}


@pytest.mark.parametrize("figure", cross_check(EXAMPLES), ids=lambda f: f"{f.title} {f.name} {f.position}")
def test_statsmodels_and_the_program_agree(figure):
    assert figure.trouble is None
    assert figure.passed, f"statsmodels {figure.published}, ours {figure.ours}, within {figure.tolerance}"
    assert figure.source.startswith("independent implementation: statsmodels ")
    assert figure.counterpart == "statsmodels"


def test_each_cross_check_gives_figures_to_the_digits_it_claims():
    figures = cross_check(EXAMPLES)
    assert len({figure.example for figure in figures}) == len(CROSS_CHECKS)
    assert min(figure.digits for figure in figures) > 4.0
    assert {f.name for f in figures} >= {"sd_batch", "sd_bar", "F", "p_same", "interval", "standard_uncertainty"}


def test_a_method_of_ours_that_is_off_is_a_miss(monkeypatch):
    """A variance of batches that divides by n instead of n − 1 is found out."""
    right = cross_checks._our_variances
    wrong = CROSS_CHECKS[1]
    off = dataclasses.replace(wrong, ours=lambda inputs: {**right(inputs), "sd_batch": [38.34]})
    monkeypatch.setattr(cross_checks, "CROSS_CHECKS", (off,))
    figures = cross_check(EXAMPLES)
    assert [(figure.name, figure.passed) for figure in figures if not figure.passed] == [("sd_batch", False)]


def test_a_search_that_does_not_arrive_is_passed_over_and_leaves_no_warning():
    values, batch = np.array([1.0, 2.0, 3.0, 4.0]), np.array([0, 0, 1, 1])

    class Fit:
        converged = True

    def fit(_model, *, reml, method):
        assert reml
        tried.append(method[0])
        if method == ["lbfgs"]:
            warnings.warn("did not get there", RuntimeWarning, stacklevel=1)
        if method == ["bfgs"]:
            raise np.linalg.LinAlgError("Singular matrix")
        return Fit()

    tried = []
    from statsmodels.regression.mixed_linear_model import MixedLM

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(MixedLM, "fit", fit)
        assert isinstance(cross_checks._searched(MixedLM(values, np.ones((len(values), 1)), groups=batch)), Fit)
    assert tried == ["lbfgs", "bfgs", "powell"]


def test_a_broken_statsmodels_is_a_miss_with_its_reason_and_exit_code_1(monkeypatch):
    def missing(_package):
        raise ModuleNotFoundError("No module named 'statsmodels'")

    monkeypatch.setattr(cross_checks, "version", missing)
    done = CliRunner().invoke(app, ["verify"])
    assert done.exit_code == 1
    assert "Could not be computed: ModuleNotFoundError: No module named 'statsmodels'" in done.output
    assert f"{len(CROSS_CHECKS)} of " in " ".join(done.output.split())


def test_the_end_of_the_table_tells_how_many_cross_checks_agree():
    done = CliRunner().invoke(app, ["verify"])
    assert done.exit_code == 0
    assert " ".join(done.output.split()).endswith(
        f"All {len(cross_check(EXAMPLES))} figures of {len(CROSS_CHECKS)} cross-checks with statsmodels agree."
    )
    assert "  figure                         statsmodels            ours   within  dig" in done.output
