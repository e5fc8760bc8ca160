"""What things of a still are made of, as the renderer takes it: latex by its finish, cloth, metal, leaves, light.

Colours go in as linear light. All figures are settings, by eye, unless a source stands beside them.
"""

from __future__ import annotations

from typing import Final

from quoting.craft.design.things import CONFETTI, DOUBLE_STUFFED
from quoting.craft.still.scene_file import SceneFile, Value
from studio.trade.colour import linear, srgb_from_hex

# Settings of the look, by eye.
LIGHTEST: Final = 0.86
"""Of light thrown back in every channel: no cloth or latex is whiter."""
DARKEST: Final = 0.008
"""Nor is any blacker, so that a black round still has a shape."""

GLOW: Final = 0.12
"""How bright a light sign is beside what falls on it (setting, by eye)."""

PLAIN: Final = (0.021, 0.07)
"""How much of the light shines off plain latex, and how rough its skin is (settings, by eye)."""
THROUGH: Final = 0.18
"""Of its colour, what plain latex lets through (setting, by eye)."""
CLEAR: Final = ("crystal", CONFETTI)
PALE: Final = 0.12  # setting: how near to grey a colour is that has none
LEAF_BACK: Final = 0.8
"""Of a leaf's colour, what comes back from its lit side; there also goes some through (setting, by eye)."""
GOLD: Final = (0.72, 0.5, 0.16)  # setting, by eye

Light = tuple[float, float, float]


def light_of(code: str, *, most: float = LIGHTEST) -> Light:
    """A colour such as ``#EFE6D6`` as the shares of light that it throws back.

    >>> light_of("#FFFFFF")
    (0.86, 0.86, 0.86)
    """
    red, green, blue = (min(max(float(value), DARKEST), most) for value in linear(srgb_from_hex(code)))
    return red, green, blue


def put_latex(file: SceneFile, name: str, code: str, finish: str, inner_code: str = "") -> None:
    """A material of a balloon of this colour and finish; of a clear one it is the skin."""
    colour = light_of(code)
    if finish in CLEAR:
        _put_clear(file, name, colour if finish == "crystal" else _mixed(colour, (1.0, 1.0, 1.0), 0.75))
    elif finish == DOUBLE_STUFFED:
        _put_outer(file, name, colour)
        _put_plain(file, inner(name), light_of(inner_code or code))
    elif finish == "pearl":
        _put_pearl(file, name, colour)
    elif finish in _METALS:
        smooth, share = _METALS[finish]
        kr = _mixed(colour, (0.9, 0.9, 0.9), share)
        file.put(f"textures.{name}-metal", type="fresnelcolor", kr=kr)
        file.put(
            f"materials.{name}", type="metal2", fresnel=f"{name}-metal", uroughness=smooth, vroughness=smooth
        )
    else:
        _put_plain(file, name, colour)


def inner(name: str) -> str:
    """The material of what is seen within a balloon."""
    return f"{name}-inner"


def put_flecks(file: SceneFile, name: str, code: str) -> None:
    """The paper of confetti in a balloon of this colour; where it has none, gold."""
    red, green, blue = light_of(code)
    pale = max(red, green, blue) - min(red, green, blue) < PALE
    file.put(f"materials.{inner(name)}", type="matte", kd=GOLD if pale else (red, green, blue))


def put_cloth(file: SceneFile, name: str, code: str) -> None:
    """Stretch fabric, board or wood: what does not shine."""
    file.put(f"materials.{name}", type="matte", kd=light_of(code, most=0.8))


def put_gloss(file: SceneFile, name: str, colour: Light, *, rough: float = 0.16) -> None:
    """Waxed wood or paint: it shines a little."""
    file.put(
        f"materials.{name}", type="glossy2", kd=colour, ks=(0.03,) * 3, uroughness=rough, vroughness=rough
    )


def put_metal(file: SceneFile, name: str, code: str, *, rough: float = 0.22) -> None:
    """A tube or a foil skin of this colour."""
    file.put(f"textures.{name}-metal", type="fresnelcolor", kr=light_of(code))
    file.put(f"materials.{name}", type="metal2", fresnel=f"{name}-metal", uroughness=rough, vroughness=rough)


def put_leaf(file: SceneFile, name: str, code: str) -> None:
    """A leaf or petal: some of the light goes through it."""
    back, through = _leaf_light(code)
    file.put(f"materials.{name}", type="mattetranslucent", kr=back, kt=through)


def put_toned_leaf(file: SceneFile, name: str, code: str) -> None:
    """A leaf or petal whose mesh has tones."""
    file.put(f"textures.{name}-tones", type="hitpointcolor")
    for part, light in zip(("kr", "kt"), _leaf_light(code), strict=True):
        file.put(f"textures.{name}-{part}", type="scale", texture1=light, texture2=f"{name}-tones")
    file.put(f"materials.{name}", type="mattetranslucent", kr=f"{name}-kr", kt=f"{name}-kt")


def put_sign_paint(file: SceneFile, name: str, code: str, *, lit: bool) -> None:
    """The lacquer of a sign's letters; of a light sign it gives a little light of its own colour."""
    colour = light_of(code)
    put_gloss(file, name, colour, rough=0.12)
    if lit:
        file.put(f"materials.{name}", emission=colour, emission_gain=(GLOW,) * 3)


def put_lamp(file: SceneFile, name: str, colour: Light, gain: float) -> None:
    """Something that gives light."""
    file.put(
        f"materials.{name}", type="matte", kd=(0.0, 0.0, 0.0), emission=colour, emission_gain=(gain,) * 3
    )


# Private


def _leaf_light(code: str) -> tuple[Light, Light]:
    """How much light comes back from a leaf of this colour, and how much goes through."""
    red, green, blue = light_of(code, most=0.8)
    return (LEAF_BACK * red, LEAF_BACK * green, LEAF_BACK * blue), (0.36 * red, 0.36 * green, 0.3 * blue)


_METALS: Final[dict[str, tuple[float, float]]] = {"metallic": (0.24, 0.06), "mirror": (0.03, 0.14)}
"""How rough the skin is, and how much white its shine has."""


def _put_plain(file: SceneFile, name: str, colour: Light) -> None:
    gloss, rough = PLAIN
    shown = _less(colour, gloss)
    through = _through(shown)
    file.put(
        f"materials.{name}",
        type="glossytranslucent",
        kd=_beside(shown, through),
        kt=through,
        ks=(gloss,) * 3,
        uroughness=rough,
        vroughness=rough,
    )


def _put_pearl(file: SceneFile, name: str, colour: Light) -> None:
    """A skin with a broad silken shine over its colour."""
    _put_plain(file, f"{name}-skin", colour)
    kr = _mixed(colour, (0.95, 0.93, 0.92), 0.4)
    file.put(f"textures.{name}-metal", type="fresnelcolor", kr=kr)
    file.put(
        f"materials.{name}-silk", type="metal2", fresnel=f"{name}-metal", uroughness=0.24, vroughness=0.24
    )
    file.put(f"materials.{name}", type="mix", material1=f"{name}-skin", material2=f"{name}-silk", amount=0.6)


def _put_clear(file: SceneFile, name: str, colour: Light) -> None:
    """A thin clear skin: what is behind it shows, and it reflects more towards its rim."""
    tint: Value = tuple(0.35 + 0.65 * share**0.5 for share in colour)
    file.put(
        f"materials.{name}", type="archglass", kr=(0.95,) * 3, kt=tint, interiorior=1.45, exteriorior=1.0
    )


def _put_outer(file: SceneFile, name: str, colour: Light) -> None:
    """A skin through which the balloon within is seen."""
    _put_plain(file, f"{name}-skin", colour)
    file.put(f"materials.{name}-gap", type="null", transparency=(0.94, 0.94, 0.94))
    file.put(f"materials.{name}", type="mix", material1=f"{name}-skin", material2=f"{name}-gap", amount=0.68)


def _less(colour: Light, gloss: float) -> Light:
    """A colour without the light that shines off its surface: what is seen and named is both together."""
    red, green, blue = (max(share - gloss, DARKEST / 2) for share in colour)
    return red, green, blue


def _through(colour: Light) -> Light:
    """The light that a thin skin lets through: deeper in colour than what comes back."""
    red, green, blue = (THROUGH * share**1.2 for share in colour)
    return red, green, blue


def _beside(colour: Light, through: Light) -> Light:
    """What comes back from a skin so that it shows its colour in even light, together with what goes in through it, is
    thrown back within up to twice, and comes out again."""
    red, green, blue = (
        max(share - let * let * (1 + share + share * share), DARKEST / 2)
        for share, let in zip(colour, through, strict=True)
    )
    return red, green, blue


def _mixed(colour: Light, other: Light, share: float) -> Light:
    red, green, blue = ((1 - share) * a + share * b for a, b in zip(colour, other, strict=True))
    return red, green, blue
