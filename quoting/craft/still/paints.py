"""What things of a still are made of, as the renderer takes it: latex by its finish, cloth, metal, leaves, light.

Colours go in as linear light. All figures are settings, by eye, unless a source stands beside them.
"""

from __future__ import annotations

from typing import Final

from quoting.craft.still.scene_file import SceneFile, Value
from studio.trade.colour import linear, srgb_from_hex

# Settings of the look, by eye.
LIGHTEST: Final = 0.86
"""Of light thrown back in every channel: no cloth or latex is whiter."""
DARKEST: Final = 0.008
"""Nor is any blacker, so that a black round still has a shape."""

GLOW: Final = 2.4  # setting, by eye

Light = tuple[float, float, float]


def light_of(code: str, *, most: float = LIGHTEST) -> Light:
    """A colour such as ``#EFE6D6`` as the shares of light that it throws back.

    >>> light_of("#FFFFFF")
    (0.86, 0.86, 0.86)
    """
    red, green, blue = (min(max(float(value), DARKEST), most) for value in linear(srgb_from_hex(code)))
    return red, green, blue


def put_latex(file: SceneFile, name: str, code: str, finish: str) -> None:
    """A material of a balloon of this colour and finish."""
    colour = light_of(code)
    if finish in ("crystal", "confetti"):
        _put_clear(file, name, colour)
    elif finish in _METALS:
        smooth, share = _METALS[finish]
        file.put(
            f"materials.{name}", type="metal2", fresnel=f"{name}-metal", uroughness=smooth, vroughness=smooth
        )
        file.put(f"textures.{name}-metal", type="fresnelcolor", kr=_mixed(colour, (0.9, 0.9, 0.9), share))
    else:
        gloss, rough = _GLOSSES.get(finish, _GLOSSES["plain"])
        file.put(
            f"materials.{name}",
            type="glossy2",
            kd=_less(colour, gloss),
            ks=(gloss,) * 3,
            uroughness=rough,
            vroughness=rough,
        )


def put_cloth(file: SceneFile, name: str, code: str) -> None:
    """Stretch fabric, board or wood: what does not shine."""
    file.put(f"materials.{name}", type="matte", kd=light_of(code, most=0.8))


def put_metal(file: SceneFile, name: str, code: str, *, rough: float = 0.22) -> None:
    """A tube or a foil skin of this colour."""
    file.put(f"textures.{name}-metal", type="fresnelcolor", kr=light_of(code))
    file.put(f"materials.{name}", type="metal2", fresnel=f"{name}-metal", uroughness=rough, vroughness=rough)


def put_leaf(file: SceneFile, name: str, code: str) -> None:
    """A leaf or petal: some of the light goes through it."""
    red, green, blue = light_of(code, most=0.6)
    file.put(
        f"materials.{name}",
        type="mattetranslucent",
        kr=(0.62 * red, 0.62 * green, 0.62 * blue),
        kt=(0.3 * red, 0.32 * green, 0.22 * blue),
    )


def put_glow(file: SceneFile, name: str, code: str) -> None:
    """A light sign in its colour: bright, and with enough of its colour to be read."""
    put_lamp(file, name, light_of(code, most=1.0), GLOW)


def put_lamp(file: SceneFile, name: str, colour: Light, gain: float) -> None:
    """Something that gives light."""
    file.put(
        f"materials.{name}", type="matte", kd=(0.0, 0.0, 0.0), emission=colour, emission_gain=(gain,) * 3
    )


# Private

_GLOSSES: Final[dict[str, tuple[float, float]]] = {
    "plain": (0.02, 0.05),
    "pearl": (0.1, 0.19),
    "double-stuffed": (0.02, 0.13),
}
"""How much of the light shines, and how rough the skin is."""
_METALS: Final[dict[str, tuple[float, float]]] = {"metallic": (0.26, 0.06), "mirror": (0.045, 0.14)}
"""How rough the skin is, and how much white its shine has."""


def _put_clear(file: SceneFile, name: str, colour: Light) -> None:
    """A clear skin: some of what is behind it shows, and it shines."""
    tint: Value = tuple(0.55 + 0.45 * share for share in colour)
    file.put(
        f"materials.{name}-skin", type="glossy2", kd=colour, ks=(0.06,) * 3, uroughness=0.05, vroughness=0.05
    )
    file.put(f"materials.{name}-gap", type="null", transparency=tint)
    file.put(f"materials.{name}", type="mix", material1=f"{name}-skin", material2=f"{name}-gap", amount=0.68)


def _less(colour: Light, gloss: float) -> Light:
    """A colour without the light that shines off its surface: what is seen and named is both together."""
    red, green, blue = (max(share - gloss, DARKEST / 2) for share in colour)
    return red, green, blue


def _mixed(colour: Light, other: Light, share: float) -> Light:
    red, green, blue = ((1 - share) * a + share * b for a, b in zip(colour, other, strict=True))
    return red, green, blue
