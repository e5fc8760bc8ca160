"""A standing person as a silhouette for scale: drawn 100 units high, feet at the origin."""

PERSON_HEIGHT_M = 1.70  # common practice, no source
PERSON_TONE = "#d9d1c3"
_LIMBS = (
    ("M-8.6-76.5Q-12.6-64-12-53.5L-11-45", 4.6),
    ("M8.6-76.5Q12.6-64 12.4-54L11.8-45", 4.6),
    ("M-4.2-48Q-5-26-4.7-4", 7.2),
    ("M4.2-48Q5.2-26 5.3-4", 7.2),
    ("M-4.7-1.7H-8.6", 3.4),
    ("M5.3-1.7H9.2", 3.4),
)
_BODY = "M-3-87H3V-82.5Q10.5-81.5 11-76L8.4-62 8.6-46H-8.6L-8.4-62-11-76Q-10.5-81.5-3-82.5Z"


def person_svg(x: float, y: float, unit: float) -> str:
    """Draw the silhouette with its feet at (x, y); ``unit`` is the drawing length of one hundredth of its height."""
    limbs = "".join(f'<path d="{path}" stroke-width="{width:g}"/>' for path, width in _LIMBS)
    return (
        f'<g class="person" transform="translate({x:.1f} {y:.1f}) scale({unit:.3f})" fill="none" '
        f'stroke="{PERSON_TONE}" stroke-linecap="round" stroke-linejoin="round">{limbs}'
        f'<path d="{_BODY}" fill="{PERSON_TONE}" stroke-width="1.5"/>'
        f'<ellipse cy="-92.8" rx="5.2" ry="6.6" fill="{PERSON_TONE}" stroke="none"/></g>'
    )
