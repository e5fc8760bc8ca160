"""A standing person as a silhouette for scale: drawn 100 units high, feet at the origin."""

PERSON_HEIGHT_M = 1.70  # common practice, no source
PERSON_TONE, NECKLINE_TONE = "#dcd3c5", "#cbc1b1"
_HALF = (
    "M-.4-89H2C2-86.4 2.2-85 3.6-84.2C6-82.8 8.6-82.6 9.8-79C10.8-75 11-67 11.7-59C12.2-54 12.4-50 12-46.6"
    "C11.7-44 10.2-43.6 10-46C9.8-50 9.7-54 9.3-58.6C8.9-63 8.4-67.6 7.7-71C7.3-67 6.2-64.4 6-61.4"
    "C5.8-57.6 7-54.6 7.2-50.4C7.3-42 6.4-34 5.7-26C5.2-18 4.6-10 4.4-4.4C5-2.6 6.8-1.5 6.8 0H1.9"
    "C1.5-1.8 1.6-3.2 1.6-5C1.5-13 1.5-19 1.3-26C1.1-33 .8-40 .4-45.5L-.4-46Z"
)
"""The right half of neck, trunk, arm and leg; the left is its likeness."""


def person_svg(x: float, y: float, unit: float) -> str:
    """Draw the silhouette with its feet at (x, y); ``unit`` is the drawing length of one hundredth of its height."""
    return (
        f'<g class="person" transform="translate({x:.1f} {y:.1f}) scale({unit:.3f})" fill="{PERSON_TONE}">'
        f'<ellipse cy="-93.2" rx="4.5" ry="6.2"/><path d="{_HALF}"/><path d="{_HALF}" transform="scale(-1 1)"/>'
        f'<path d="M-3.3-84Q0-79.4 3.3-84" fill="none" stroke="{NECKLINE_TONE}" stroke-width=".6"/></g>'
    )
