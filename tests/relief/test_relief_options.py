import math

import pytest

from ringtex.basics.errors import InputError
from ringtex.relief.relief_options import FORMS, ReliefOptions


def test_the_usual_relief_is_accepted() -> None:
    options = ReliefOptions()
    assert options.form in FORMS
    assert (options.wall_width_mm is None) != (options.top_size is None)


@pytest.mark.parametrize("form", FORMS)
def test_every_form_is_accepted(form: str) -> None:
    assert ReliefOptions(form=form).form == form


@pytest.mark.parametrize(
    ("changes", "where"),
    [
        ({"form": "wavy"}, "relief.form"),
        ({"form": ""}, "relief.form"),
        ({"depth_mm": 0.049}, "relief.depth"),
        ({"depth_mm": 1.001}, "relief.depth"),
        ({"depth_mm": -0.3}, "relief.depth"),
        ({"depth_mm": math.nan}, "relief.depth"),
        ({"depth_mm": math.inf}, "relief.depth"),
        ({"wall_width_mm": -0.1}, "relief.wall_width"),
        ({"wall_width_mm": 5.1}, "relief.wall_width"),
        ({"wall_width_mm": math.nan}, "relief.wall_width"),
        ({"wall_width_mm": None}, "relief"),
        ({"top_size": 0.5}, "relief"),
        ({"wall_width_mm": None, "top_size": 0.04}, "relief.top_size"),
        ({"wall_width_mm": None, "top_size": 0.99}, "relief.top_size"),
        ({"wall_width_mm": None, "top_size": math.nan}, "relief.top_size"),
        ({"flank_deg": 29.0}, "relief.flank"),
        ({"flank_deg": 90.0}, "relief.flank"),
        ({"corner_mm": -0.01}, "relief.corner"),
        ({"corner_mm": 0.51}, "relief.corner"),
        ({"depth_scatter": 1.01}, "relief.depth_scatter"),
        ({"seed": -1}, "relief.seed"),
        ({"seed": 2**32}, "relief.seed"),
    ],
)
def test_what_cannot_be_made_is_refused_with_its_key_and_advice(changes: dict[str, object], where: str) -> None:
    with pytest.raises(InputError) as caught:
        ReliefOptions(**changes)  # type: ignore[arg-type]
    assert caught.value.where == where
    assert caught.value.message
    assert caught.value.advice
