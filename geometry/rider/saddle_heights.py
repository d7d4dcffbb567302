"""How high a rider's saddle should be, and what published rules say beside it.

Saddle height is the straight distance from the BB centre to the saddle top where
the post's axis meets it [mm]. The linkage asks for a knee flexion at the lowest
pedal, measured standing still; the rules start from inseam alone.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from geometry.core import FloatArray, NoSolution, Num, cos, length, refuse, sin
from geometry.rider.remedies import ShorterCranks
from geometry.rider.segments import Linkage, ankle_over_pedal, far_side, flexion

HIP_SETTLE = -24.9
"""Hip joint above the saddle top, less its height above the crotch when standing [mm].
Calibrated once, so that the mean man's and the mean woman's saddle height for 30°
of knee flexion, seat angle 73° and 172.5 mm cranks is 0.883 × inseam on average
(Peveler et al., JEPonline 8(1), 2005). It stands for all that the linkage leaves
out: flesh on the saddle, a tilted pelvis, a foot that is not quite as assumed."""


@dataclass(frozen=True, eq=False)
class PostAxis:
    """The line along which a saddle rises: a point of it and its angle.

    Parameters
    ----------
    x, y : float or array
        Any point of the post's axis, BB centre at the origin [mm].
    angle : float or array
        From the level, leaning back [°].

    Raises
    ------
    InvalidInput
        An angle that no seat tube has.
    """

    x: Num
    y: Num
    angle: Num

    def saddle(self, saddle_height: Num) -> tuple[Num, Num]:
        """Saddle top at a saddle height: where the axis is that far from the BB centre.

        Parameters
        ----------
        saddle_height : float or array
            [mm].

        Returns
        -------
        tuple
            x, y [mm].

        Examples
        --------
        >>> x, y = PostAxis(x=0.0, y=0.0, angle=90.0).saddle(700.0)
        >>> round(float(y), 6)
        700.0
        """
        ahead, up = -cos(self.angle), sin(self.angle)
        foot = self.x * ahead + self.y * up
        across2 = self.x * self.x + self.y * self.y - foot * foot
        along = np.sqrt(saddle_height * saddle_height - across2) - foot
        return self.x + along * ahead, self.y + along * up


def hip_above_saddle(links: Linkage) -> FloatArray:
    """Hip joint straight above the saddle top [mm].

    Its height above the crotch when standing, plus the calibrated `HIP_SETTLE`.

    Parameters
    ----------
    links : Linkage
        Riders, (n,).

    Returns
    -------
    array
        (n,) [mm].

    Examples
    --------
    >>> from geometry.rider import linkage, mean_bodies
    >>> hip_above_saddle(linkage(mean_bodies())).round(1).tolist()
    [29.7, 38.4]
    """
    return links.hip_above_crotch + HIP_SETTLE


def saddle_height(
    links: Linkage, *, axis: PostAxis, crank_length: Num, knee_flexion: float
) -> FloatArray:
    """Saddle height that gives a knee flexion at the lowest pedal.

    The ankle stands over a pedal straight below the BB; hip and ankle are apart by
    the leg bent to the wanted flexion; the hip is straight above the saddle, which
    moves on the post's axis: a quadratic with one root above the ankle.

    Parameters
    ----------
    links : Linkage
        Riders, (n,).
    axis : PostAxis
        Of the frame as it stands.
    crank_length : float or array
        [mm].
    knee_flexion : float
        Wanted at the lowest pedal, standing still [°].

    Returns
    -------
    array
        [mm].

    Raises
    ------
    NoSolution
        The leg is too short to reach from the post's axis to the pedal.

    Examples
    --------
    >>> from geometry.rider import linkage, mean_bodies
    >>> upright = PostAxis(x=0.0, y=0.0, angle=73.0)
    >>> riders = linkage(mean_bodies())
    >>> saddle_height(riders, axis=upright, crank_length=170.0, knee_flexion=30.0).round(0).tolist()
    [755.0, 688.0]
    """
    ankle_x, ankle_y = ankle_over_pedal(links)
    leg = far_side(links.thigh, links.shank, flexion=knee_flexion)
    x = axis.x - ankle_x
    y = axis.y + hip_above_saddle(links) - (ankle_y - crank_length)
    ahead, up = -cos(axis.angle), sin(axis.angle)
    middle = x * ahead + y * up
    spare = leg * leg - (x * x + y * y - middle * middle)
    refuse(
        spare < 0.0,
        NoSolution,
        "knee_flexion",
        np.broadcast_to(knee_flexion, np.shape(spare)),
        ShorterCranks(),
    )
    along = np.sqrt(spare) - middle
    return np.asarray(length(axis.x + along * ahead, axis.y + along * up))


def knee_flexion(links: Linkage, *, saddle: tuple[Num, Num], crank_length: Num) -> FloatArray:
    """Knee flexion at the lowest pedal for a saddle where it is, the inverse of `saddle_height`.

    Parameters
    ----------
    links : Linkage
        Riders, (n,).
    saddle : tuple
        Saddle top where the post's axis meets it, x, y [mm].
    crank_length : float or array
        [mm].

    Returns
    -------
    array
        [°]; 0 also where the leg is too short to reach the pedal at all.

    Examples
    --------
    >>> from geometry.rider import linkage, mean_bodies
    >>> riders = linkage(mean_bodies())
    >>> knee_flexion(riders, saddle=(-200.0, 670.0), crank_length=170.0).round(0).tolist()
    [52.0, 22.0]
    """
    ankle_x, ankle_y = ankle_over_pedal(links)
    rise = saddle[1] + hip_above_saddle(links) - (ankle_y - crank_length)
    far = length(saddle[0] - ankle_x, rise)
    return np.asarray(flexion(links.thigh, links.shank, far=far))


@dataclass(frozen=True, eq=False)
class PublishedSaddleHeights:
    """Saddle heights by published rules, to stand beside the linkage's [mm].

    Parameters
    ----------
    hamley_thomas : float or array
        1.09 × inseam from pedal to saddle top, less the crank.
    inseam_share : float or array
        0.883 × inseam.
    gatti : float or array
        Regression on inseam, knee flexion and seat angle, less the crank;
        root mean square error of the regression 11.5 mm.
    """

    hamley_thomas: Num
    inseam_share: Num
    gatti: Num


def published_saddle_heights(
    inseam: Num, *, crank_length: Num, seat_angle: Num, knee_flexion: float
) -> PublishedSaddleHeights:
    """Saddle heights by the published rules.

    The pedal is taken at its farthest from the saddle, the crank in line with the
    seat tube, as the rules are applied in workshops.

    Parameters
    ----------
    inseam : float or array
        Crotch height, barefoot [mm].
    crank_length : float or array
        [mm].
    seat_angle : float or array
        [°].
    knee_flexion : float
        At the lowest pedal [°].

    Returns
    -------
    PublishedSaddleHeights
        [mm].

    References
    ----------
    Hamley and Thomas (1967), in Peveler, Bishop, Smith, Richardson and Whitehorn,
    *Comparing methods for setting saddle height in trained cyclists*,
    JEPonline 8(1), 2005, which also gives 0.883; Gatti et al., Eur. J. Sport Sci. 2021.

    Examples
    --------
    >>> rules = published_saddle_heights(
    ...     846.0, crank_length=172.5, seat_angle=73.0, knee_flexion=30.0)
    >>> round(rules.hamley_thomas, 1), round(rules.inseam_share, 1), round(rules.gatti, 1)
    (749.6, 747.0, 750.6)
    """
    gatti_cm = 7.41 + 0.82 * (inseam / 10.0) - 0.1 * knee_flexion
    gatti_cm = gatti_cm + 0.003 * (inseam / 10.0) * seat_angle
    return PublishedSaddleHeights(
        hamley_thomas=1.09 * inseam - crank_length,
        inseam_share=0.883 * inseam,
        gatti=10.0 * gatti_cm - crank_length,
    )
