"""One camera from all references together: least squares over what each of them tells.

The unknowns are the camera and, of each reference, where it lies and what may be wrong with it.
What is believed before looking (focal length, lens, how squarely a camera is held) are residuals
too, so that whatever the references do not determine stays in the covariance.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ...arrays import FloatArray, Matrix
from ..adjust import Beliefs, changed_camera
from ..camera import Camera
from ..priors import Priors
from .kind import Evidence

__all__ = ["HELD_RAD", "Solution", "solve_together"]

CAMERA = 9
"""Parameters of the camera: turn, move, log focal length, k1, k2."""
HELD_RAD = float(np.radians(4.0))
"""How squarely a camera is held over a bench by eye, each way, one standard deviation; from
experience: photos meant to be square-on are up to ten degrees off."""
TILTED_RAD = float(np.radians(20.0))
"""Where the other way a tilt may be is looked for."""
HELD_FREEDOM = 3.0
"""Few people hold a camera far off on purpose, yet more than a normal distribution has: Student's t
with so many degrees of freedom; a choice."""
STEEPEST_RAD = float(np.radians(70.0))
"""Nobody measures on a photo that is taken more from the side."""
RADII = np.array([0.3, 0.6, 0.9, 1.2])
LEAST_SLOPE, WILDEST = 0.3, 1.0
"""A lens draws what is farther out farther out: radii in focal lengths, and how much at least; no
lens term is larger than an action camera's, -0.25, four times over."""
NEAR = 0.3
"""A reference lies within this fraction of its size where its marks are seen."""
UNLIKELY = 0.05
"""What is as improbable lies outside the 95 % that are stated."""
POOR = 3.0
"""Residuals so many times as large as stated are a fit that has gone astray, or a wrong size."""
SAME_RAD = 1e-3
"""Fits nearer together than this are one."""
STEPS = np.array([1e-6, 1e-6, 1e-6, 1e-4, 1e-4, 1e-4, 1e-6, 1e-6, 1e-6])
"""Steps of the camera's numbers for central differences: a millionth of a radian, a focal length
and a lens's term, a tenth of a µm; error 1e-12, rounding 1e-10."""
STEP = 1e-6
"""The same of a reference's own numbers, in parts of how large they are."""
ROUNDS, ROUNDS_BESIDE = 30, 10
"""Most rounds from one start, and from others beside it. Chosen: a fit that needs more has
stalled."""


@dataclass(frozen=True, slots=True, eq=False)
class Solution:
    """A camera, its (9, 9) covariance, and each reference's own parameters and root mean square px.

    ``tilt_sigma_rad`` is what is left open of the tilt, the worse way; ``cost`` the sum of squares,
    ``lens_strain`` by how many standard deviations the lens is bent at most,
    ``others`` cameras that go with it too, each with its probability.
    """

    camera: Camera
    covariance: Matrix
    owns: tuple[FloatArray, ...]
    missed_px: tuple[float, ...]
    cost: float
    lens_strain: float
    others: tuple[tuple[float, Camera], ...] = ()
    tilt_sigma_rad: float = 0.0


def solve_together(
    evidences: Sequence[Evidence], priors: Priors, center_px: tuple[float, float]
) -> Solution:
    """Camera and every reference's own parameters that fit all references, and their covariance.

    The bench's axes are those that the first reference's own first camera has. Where another tilt
    goes with the references too, as it does with a disc alone, that camera is given besides.

    Parameters
    ----------
    evidences
        What the references tell, at least one.
    priors
        What is believed of focal length and lens.
    center_px
        The picture's middle.
    """
    # A reference that tells the tilt by itself gives a camera to start from.
    tells = any(one.tells_tilt for one in evidences)
    start = evidences[0].first_camera(priors, center_px)
    problem = _Problem(evidences, priors, center_px, start, tells)
    found = [problem.solved(start)]
    if not evidences[0].tells_tilt and (len(evidences) > 1 or evidences[0].placing < 3):
        # The other way a disc's or two lengths' foreshortening can be seen, and where that fails
        # to fit, all ways.
        x, y = found[0].camera.rotation[2, :2]
        size = float(np.hypot(x, y))
        directions = [(y / size, x / size)] if size > SAME_RAD else []
        if problem.birge_of(found[0]) > POOR:
            directions = [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)]
        for x, y in directions:
            # The bench's origin, where the first reference is, stays where it is seen.
            step = np.array([x * TILTED_RAD, y * TILTED_RAD, *np.zeros(CAMERA - 2)])
            found.append(problem.solved(changed_camera(start, step), ROUNDS_BESIDE))
    found.sort(key=lambda one: one.cost)
    best = found[0]
    others = _other_cameras(found, problem.birge_of(best))
    variance = _tilt_sigma(best.camera, best.covariance) ** 2
    variance += sum(p * _turned_rad(best.camera, camera) ** 2 for p, camera in others)
    return replace(best, others=others, tilt_sigma_rad=float(np.sqrt(variance)))


class _Problem:
    """The residuals of everything, over one vector of parameters."""

    def __init__(
        self,
        evidences: Sequence[Evidence],
        priors: Priors,
        center_px: tuple[float, float],
        start: Camera,
        tells_tilt: bool,
    ) -> None:
        self.evidences, self.tells_tilt = evidences, tells_tilt
        self.beliefs = Beliefs(priors, center_px, CAMERA)
        # The first one's place is where it starts: that fixes the bench's origin and axes.
        self.held = evidences[0].start(start)[: evidences[0].placing]

    def solved(self, camera: Camera, rounds: int = ROUNDS) -> Solution:
        """Levenberg-Marquardt (Marquardt 1963) from a camera."""
        owns = [one.start(camera) for one in self.evidences]
        owns[0][: len(self.held)] = self.held
        current = self._misses(camera, owns)
        damping = 1e-4
        for _ in range(rounds):
            jacobian = self._jacobian(camera, owns)
            scale = np.sqrt((jacobian**2).sum(axis=0)) + 1e-12
            a = jacobian / scale
            cost = float(current @ current)
            if cost < 1e-18:
                break
            for _ in range(10):
                step = -np.linalg.solve(a.T @ a + damping * np.eye(a.shape[1]), a.T @ current)
                tried = self._changed(camera, owns, step / scale)
                sane = self._is_sane(*tried)
                after = self._misses(*tried) if sane else current
                cost_after = float(after @ after) if sane else np.inf
                if cost_after <= cost:
                    camera, owns = tried
                    current = after
                    damping = max(damping / 10.0, 1e-14)
                    break
                damping *= 10.0
            else:
                break
            if cost - cost_after < 1e-7 * cost:
                break
        return self._solution(camera, owns, current)

    def _is_sane(self, camera: Camera, owns: Sequence[FloatArray]) -> bool:
        """Whether a camera looks down on a bench where the references lie where they are seen.

        A lens that bends too much shows places twice: the fit may not slip to the other one.
        """
        if camera.tilt_rad > STEEPEST_RAD or camera.translation_mm[2] <= 0.0:
            return False
        if max(abs(camera.k1), abs(camera.k2)) > WILDEST:
            return False
        r2 = RADII**2
        if (1.0 + r2 * (3.0 * camera.k1 + 5.0 * r2 * camera.k2)).min() < LEAST_SLOPE:
            return False
        away = [own[:2] - one.start(camera)[:2] for one, own in self._with(owns)]
        reach = [NEAR * one.spans[0] for one in self.evidences]
        return all(float(np.hypot(*a)) < r for a, r in zip(away, reach, strict=True))

    def birge_of(self, solution: Solution) -> float:
        """How much the residuals are larger than stated (Birge 1932); at least 1."""
        seen = sum(len(o.residuals(solution.camera, p)) for o, p in self._with(solution.owns))
        # Focal length, two lens terms and the tilt are believed, each as one observation.
        rows = seen + 3 + (0 if self.tells_tilt else 2)
        unknown = CAMERA + sum(len(own) for own in solution.owns) - len(self.held)
        free = rows - unknown
        return max(1.0, float(np.sqrt(solution.cost / free))) if free > 0 else 1.0

    def _with(self, owns: Sequence[FloatArray]) -> "zip[tuple[Evidence, FloatArray]]":
        return zip(self.evidences, owns, strict=True)

    def _misses(self, camera: Camera, owns: Sequence[FloatArray]) -> FloatArray:
        seen = [one.residuals(camera, own) for one, own in self._with(owns)]
        return np.concatenate([self._believed(camera), *seen])

    def _believed(self, camera: Camera) -> FloatArray:
        believed = [self.beliefs.rows(camera, 1.0)[0]]
        if not self.tells_tilt:
            believed.append(_held(camera))
        if len(self.held) < 3:
            # Nothing else says how the bench's axes are turned: along the photo's own.
            believed.append(camera.rotation[1:2, 0])
        return np.concatenate(believed)

    def _changed(
        self, camera: Camera, owns: Sequence[FloatArray], step: FloatArray
    ) -> tuple[Camera, list[FloatArray]]:
        changed, at = [], CAMERA
        for k, own in enumerate(owns):
            kept = len(self.held) if k == 0 else 0
            new = own.copy()
            new[kept:] += step[at : at + len(own) - kept]
            at += len(own) - kept
            changed.append(new)
        return changed_camera(camera, step[:CAMERA]), changed

    def _jacobian(self, camera: Camera, owns: Sequence[FloatArray]) -> Matrix:
        """How the residuals change with each parameter; by central differences."""
        columns = []
        for k, size in enumerate(STEPS):
            step = np.zeros(CAMERA)
            step[k] = size
            ahead = self._misses(changed_camera(camera, step), owns)
            behind = self._misses(changed_camera(camera, -step), owns)
            columns.append((ahead - behind) / (2.0 * size))
        # A reference's own parameters change its own residuals alone.
        at = len(self._believed(camera))
        for number, (one, own) in enumerate(self._with(owns)):
            rows = len(one.residuals(camera, own))
            for k in range(len(self.held) if number == 0 else 0, len(own)):
                step = np.zeros(len(own))
                step[k] = STEP * one.spans[k]
                ahead = one.residuals(camera, own + step) - one.residuals(camera, own - step)
                column = np.zeros_like(columns[0])
                column[at : at + rows] = ahead / (2.0 * step[k])
                columns.append(column)
            at += rows
        return np.column_stack(columns)

    def _solution(self, camera: Camera, owns: list[FloatArray], current: FloatArray) -> Solution:
        jacobian = self._jacobian(camera, owns)
        scale = np.sqrt((jacobian**2).sum(axis=0)) + 1e-12
        a = jacobian / scale
        inverse = np.linalg.pinv(a.T @ a, rcond=1e-13, hermitian=True) / np.outer(scale, scale)
        missed = tuple(
            float(np.sqrt(np.mean(one.missed_px(camera, own) ** 2)))
            for one, own in self._with(owns)
        )
        covariance = inverse[:CAMERA, :CAMERA]
        strain = float(np.abs(self.beliefs.rows(camera, 1.0)[0][1:]).max())
        cost = float(current @ current)
        rough = Solution(camera, covariance, tuple(owns), missed, cost, strain)
        return replace(rough, covariance=covariance * self.birge_of(rough) ** 2)


def _other_cameras(found: Sequence[Solution], birge: float) -> tuple[tuple[float, Camera], ...]:
    """Cameras of fits other than the first, each with its probability."""
    others: list[tuple[float, Camera]] = []
    for one in found[1:]:
        known = [found[0].camera, *(camera for _, camera in others)]
        if all(_turned_rad(one.camera, camera) > SAME_RAD for camera in known):
            others.append((float(np.exp(-0.5 * (one.cost - found[0].cost) / birge**2)), one.camera))
    total = 1.0 + sum(likely for likely, _ in others)
    return tuple((p / total, camera) for p, camera in others if p / total > UNLIKELY)


def _held(camera: Camera) -> FloatArray:
    """(2,) how far a camera is held off square, by residuals whose squares make Student's t."""
    off = camera.rotation[2, :2] / HELD_RAD
    fraction = float(off @ off) / HELD_FREEDOM
    heavy = np.log1p(fraction) / fraction if fraction > 1e-12 else 1.0
    return np.asarray(off * np.sqrt((HELD_FREEDOM + 1.0) / HELD_FREEDOM * heavy))


def _turned_rad(one: Camera, other: Camera) -> float:
    """Angle between the bench's normals as two cameras see them."""
    return float(np.arccos(np.clip(one.rotation[:, 2] @ other.rotation[:, 2], -1.0, 1.0)))


def _tilt_sigma(camera: Camera, covariance: Matrix) -> float:
    """Standard deviation of the tilt, the worse way: turns about axes across the bench's normal."""
    normal = camera.rotation[:, 2]
    across = np.linalg.svd(normal[None])[2][1:]
    return float(
        np.sqrt(max(np.linalg.eigvalsh(across @ covariance[:3, :3] @ across.T).max(), 0.0))
    )
