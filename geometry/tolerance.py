"""Every tolerance that more than one room rests on, once, with what it comes from.

Sizes in mm, angles in rad. Flatness is how far the chords of a flattened curve may lie off it; for
each purpose there is one. What only one module needs stands there.
"""

__all__ = [
    "CORNER_OF_POINTS_RAD",
    "CORNER_RAD",
    "GRAIN_MM",
    "JOIN_MM",
    "LAYOUT_FLAT_MM",
    "LEAST_DIRECTION_MM",
    "MEASURED_FLAT_MM",
    "READ_FLAT_MM",
    "REGION_FLAT_MM",
    "SAME_PLACE_MM",
    "SAME_SIZE_MM",
    "SEARCH_FLAT_MM",
    "SHOWN_FLAT_MM",
    "STORED_MM",
    "STORED_SIZE_MM",
]

REGION_FLAT_MM = 5e-4
"""For regions whose true segments are restored: under it a chord is told from its neighbours'
curves, and a 3 m circle still has fewer than 10,000 chords (sagitta r a² / 8)."""
MEASURED_FLAT_MM = 1e-3
"""For widths, gaps and areas that people are told: they read hundredths of a mm at most."""
READ_FLAT_MM = 5e-3
"""For which loop lies in which, and where something has room: half of the finest figure shown."""
LAYOUT_FLAT_MM = 0.01
"""For laying out pieces; gaps are widened by as much, a hundredth of the finest kerf."""
SEARCH_FLAT_MM = 0.02
"""For comparing a drawn shape with its own images: a tenth of what a steady hand errs."""
SHOWN_FLAT_MM = 0.05
"""For drawing on the screen and choosing directions: under a pixel at any view of a whole part."""

JOIN_MM = 1e-6
"""Largest gap between the end of one segment and the start of the next: rounding of doubles at
1 m, 1e-13 mm, grown by chains of trigonometry, with four decades to spare."""
SAME_SIZE_MM = 1e-4
"""Sizes and places that differ by less are meant as the same: a tenth of the last digit written to
files."""
SAME_PLACE_MM = 1e-3
"""Places and lines nearer than this are one: a hundredth of what a machine for sheets repeats."""
STORED_MM = 2e-4
"""A place that was stored in single precision comes back this near: below 2 m half a unit of its
last place is 6e-5 mm in metres, and putting the scene's units on and off adds as much again."""
STORED_SIZE_MM = 10.0 * STORED_MM
"""Lengths and areas of shapes made of hundreds of such places, on a sheet turned as it was laid."""
GRAIN_MM = 0.02
"""Less than this is not to be seen on a cut edge; common practice, no source."""
LEAST_DIRECTION_MM = 0.5
"""Two places picked by hand nearer than this give no direction: a pick errs by a pixel, 0.1 mm on
a sheet on the screen, and so the direction by 10°."""

CORNER_RAD = 0.3
"""A joint of exact segments that turns more is a corner, 17°: no smooth joint of a fit kinks by a
third as much."""
CORNER_OF_POINTS_RAD = 0.5
"""A turn seen between noisy points that is meant as a corner, 29°: over a few tolerances' way,
noise of the whole tolerance turns a straight side by up to 0.25 rad either way."""
