"""The least movement that makes a shape what is suggested, beside a general optimiser.

Reference: scipy.optimize.minimize with its SLSQP method (Kraft 1988), which is given the corners
and the wish alone.
"""

import numpy as np
import pytest
from scipy.optimize import minimize

from geometry.outline import Loop, Profile
from geometry.outline.corrections.relations import Relation
from geometry.outline.corrections.suggestions import Suggestion, apply

pytestmark = pytest.mark.outside

CORNERS = np.array([(0.0, 0.0), (100.05, 0.04), (99.97, 60.06), (-0.03, 59.95)])


def nearest(wishes):
    """Corners nearest to CORNERS for which every wish is nought."""
    answer = minimize(
        lambda x: np.sum((x - CORNERS.ravel()) ** 2),
        CORNERS.ravel(),
        jac=lambda x: 2.0 * (x - CORNERS.ravel()),
        constraints=[{"type": "eq", "fun": lambda x, w=w: w(x.reshape(4, 2))} for w in wishes],
        method="SLSQP",
        options={"ftol": 1e-16, "maxiter": 300},
    )
    return answer.x.reshape(4, 2)


def edge(corners, k):
    return corners[(k + 1) % 4] - corners[k]


def cross(a, b):
    return (a[0] * b[1] - a[1] * b[0]) / 100.0


@pytest.mark.parametrize(
    ("relation", "wish"),
    [
        (Relation("parallel", (0, 2)), lambda c: cross(edge(c, 0), edge(c, 2))),
        (Relation("right angle", (0, 1)), lambda c: edge(c, 0) @ edge(c, 1) / 100.0),
        (
            Relation("equal lengths", (1, 3)),
            lambda c: np.hypot(*edge(c, 1)) - np.hypot(*edge(c, 3)),
        ),
        (Relation("level", (2,)), lambda c: edge(c, 2)[1]),
    ],
)
def test_one_relation_moves_the_corners_as_little_as_can_be(relation, wish):
    made = apply(Profile(Loop.through(CORNERS)), [Suggestion(relation, "", (0.0, 0.0), 0.0)])
    np.testing.assert_allclose(made.outer.nodes(), nearest([wish]), atol=2e-5)


def test_a_rectangle_is_the_nearest_rectangle():
    relations = [Relation("parallel", (0, 2)), Relation("right angle", (0, 1))]
    relations.append(Relation("right angle", (0, 3)))
    wishes = [
        lambda c: cross(edge(c, 0), edge(c, 2)),
        lambda c: edge(c, 0) @ edge(c, 1) / 100.0,
        lambda c: edge(c, 0) @ edge(c, 3) / 100.0,
    ]
    made = apply(
        Profile(Loop.through(CORNERS)), [Suggestion(r, "", (0.0, 0.0), 0.0) for r in relations]
    )
    np.testing.assert_allclose(made.outer.nodes(), nearest(wishes), atol=2e-5)
