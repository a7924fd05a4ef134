"""A small drawing for each way in which a photo can't be used: how to take it again. Lines only, no letters."""

from collections.abc import Mapping
from typing import Literal

Way = Literal["card", "lamp", "still", "light", "spread", "file"]

_PLATE = '<circle cx="42" cy="50" r="30" fill="#fff" stroke="#222" stroke-width="3"/>'
_FRIES = (
    '<g stroke="#c98a1b" stroke-width="5" stroke-linecap="round">'
    '<path d="M28 40L52 34"/><path d="M30 52L56 50"/><path d="M30 64L52 66"/></g>'
)
_CARD = (
    '<rect x="82" y="26" width="30" height="48" fill="#fff" stroke="#222" stroke-width="3"/>'
    '<path d="M86 30h6v6h-6zM102 30h6v6h-6zM86 64h6v6h-6zM102 64h6v6h-6z" fill="#222"/>'
    '<path d="M87 42h9v8h-9z" fill="#d9b45b"/><path d="M98 42h9v8h-9z" fill="#8a5a20"/>'
)
_PHONE = '<rect x="{x}" y="4" width="34" height="18" rx="3" fill="#444"/><circle cx="{c}" cy="13" r="4" fill="#fff"/>'
_CROSS = '<g stroke="#9e1b24" stroke-width="6" stroke-linecap="round"><path d="M{a} {b}l20 20M{c} {b}l-20 20"/></g>'
_LAMP = (
    '<g stroke="#222" stroke-width="3" fill="none"><path d="M97 0v8"/><path d="M84 20l6-12h14l6 12z" fill="#f4d35e"/>'
    '<path d="M90 24l-3 8M97 24v8M104 24l3 8"/></g>'
)
_SUN = (
    '<g stroke="#222" stroke-width="3"><circle cx="14" cy="12" r="7" fill="#f4d35e"/>'
    '<path d="M14 0v2M26 12h3M23 21l2 2M5 21l-2 2"/></g>'
)
_FRAME = (
    '<path d="M4 16v-12h12M104 4h12v12M116 84v12h-12M16 96h-12v-12" fill="none" stroke="#16653a" stroke-width="5"/>'
)

_DRAWN: Mapping[Way, str] = {
    "card": _PLATE + _FRIES + _CARD + _FRAME,
    "lamp": _PLATE + _FRIES + _CARD + _LAMP + _CROSS.format(a=87, b=6, c=107),
    "still": _PLATE
    + _FRIES
    + _CARD
    + _PHONE.format(x=44, c=61)
    + '<g fill="none" stroke="#16653a" stroke-width="4"><path d="M36 6q-8 7 0 14M86 6q8 7 0 14"/></g>',
    "light": _PLATE + _FRIES + _CARD + _SUN,
    "spread": _PLATE
    + '<g stroke="#c98a1b" stroke-width="5" stroke-linecap="round"><path d="M24 36h20M48 30l10 14M22 50h16M46 56h18'
    'M26 66l18 4"/></g>' + _CARD + '<g stroke="#16653a" stroke-width="4" fill="none">'
    '<path d="M14 32l-6-6m0 7v-7h7M70 32l6-6m0 7v-7h-7M42 82v10m-5-4l5 5 5-5"/></g>',
    "file": '<rect x="24" y="8" width="34" height="60" rx="5" fill="#444"/>'
    '<rect x="28" y="14" width="26" height="44" fill="#fff"/><g transform="translate(20 12) scale(.45)">'
    + _PLATE
    + "</g>"
    '<g stroke="#16653a" stroke-width="5" fill="none" stroke-linecap="round">'
    '<path d="M64 38h34M88 28l10 10-10 10"/></g>'
    '<rect x="102" y="24" width="14" height="28" fill="#fff" stroke="#222" stroke-width="3"/>',
}

_WAYS: Mapping[str, Way] = {
    "card_not_found": "card",
    "card_partly_hidden": "card",
    "card_unknown": "card",
    "card_twice": "card",
    "cards_differ": "card",
    "card_glare": "lamp",
    "flash": "lamp",
    "photo_overexposed": "lamp",
    "light_mixed": "light",
    "light_uneven": "light",
    "light_starved": "light",
    "tone_local": "light",
    "colour_fit_poor": "light",
    "patch_faded": "card",
    "photo_underexposed": "light",
    "photo_blurred": "still",
    "photo_unreadable": "file",
    "no_fries": "spread",
    "heaped": "spread",
}


def way_to_shoot_again(code: str) -> Way:
    """Which drawing helps with a reason's code; where none does, the one of plate and card wholly in the picture."""
    return _WAYS.get(code, "card")


def shoot_again_svg(way: Way) -> str:
    """The drawing, 120 by 100, on a light ground."""
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 120 100" width="240" height="200">'
        f'<rect width="120" height="100" rx="6" fill="#f1efe9"/>{_DRAWN[way]}</svg>'
    )
