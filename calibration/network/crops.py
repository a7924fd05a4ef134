"""Square crops of rendered plates, 0.3 mm a pixel, as the network sees them and with what it should say of them."""

import json
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import torch
import torch.nn.functional as F  # noqa: N812  (its customary name)

from calibration.network.altered import altered
from calibration.network.camera import half_view
from grader.arrays import AnyArray, FloatArray
from grader.colour.cie import SRGB_TO_XYZ

CROP_PX = 448
REACH_PX = 64.0
_MM_PER_PX = 0.3
_LINE_POINTS = 17
_HEAPS_OFTENER = 2.0
_SHARE_ANYWHERE = 0.1

Crops = tuple[torch.Tensor, dict[str, torch.Tensor]]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Plates:
    """Rendered plates of one size, kept on the device.

    Attributes
    ----------
    pictures
        (n, 5, h, w) bytes: red, green, blue, the fry's number or 0, height in quarters of a mm.
    lines_px
        (n, fries + 1, 17, 2) each fry's middle, by its number.
    mm_per_px
        (n,) at the table.
    boxes_px
        (n, 4) left, right, top, bottom of all fries.
    shares
        (n,) how often each is drawn.
    """

    pictures: torch.Tensor
    lines_px: torch.Tensor
    mm_per_px: FloatArray
    boxes_px: FloatArray
    shares: FloatArray


def read_plates(files: list[Path], device: str) -> Plates:
    """Read the plates whose NAME.json are given, as `render` writes them; those that show no fry are left out."""
    with ThreadPoolExecutor(16) as readers:
        read = [one for one in readers.map(_read, files) if one[1][3].max() > 0]
    infos = [info for info, _ in read]
    lines = np.zeros((len(read), max(len(info["lines_px"]) for info in infos) + 1, _LINE_POINTS, 2), np.float32)
    for place, info in zip(lines, infos, strict=True):
        place[1 : 1 + len(info["lines_px"])] = info["lines_px"]
    oftener = np.array([_HEAPS_OFTENER if info["layout"] == "heap" else 1.0 for info in infos])
    return Plates(
        pictures=torch.stack([torch.from_numpy(picture) for _, picture in read]).to(device),
        lines_px=torch.from_numpy(lines).to(device),
        mm_per_px=np.array([2 * info["height_mm"] * half_view(info["f35_mm"]) / info["size"][0] for info in infos]),
        boxes_px=np.array([_box(picture[3]) for _, picture in read], float),
        shares=oftener / oftener.sum(),
    )


def _read(file: Path) -> tuple[dict[str, Any], Any]:
    picture, mask, heights = (
        cv2.imread(str(file.with_suffix(end)), flag) for end, flag in ((".jpg", 1), (".mask.png", 0), (".z.png", 0))
    )
    if picture is None or mask is None or heights is None:
        raise FileNotFoundError(f"{file}: its picture, mask or heights are missing: render it again")
    return json.loads(file.read_text()), np.dstack([picture[..., ::-1], mask, heights]).transpose(2, 0, 1)


def _box(mask: AnyArray) -> tuple[int, int, int, int]:
    y, x = np.nonzero(mask)
    return x.min(), x.max(), y.min(), y.max()


def draw_crops(plates: Plates, count: int, rng: np.random.Generator, *, plain: bool = False) -> Crops:
    """Crops drawn at random, as the network's input and its targets; plain ones are not turned, scaled or altered."""
    device, total = plates.pictures.device, len(plates.pictures)
    chosen = rng.integers(0, total, count) if plain else rng.choice(total, count, p=plates.shares)
    turn, middle = _placed(plates, chosen, rng, plain=plain)
    to_source, middle = torch.from_numpy(turn).to(device), torch.from_numpy(middle).to(device)
    place = torch.arange(CROP_PX, device=device, dtype=torch.float32) - (CROP_PX - 1) / 2
    y, x = torch.meshgrid(place, place, indexing="ij")
    places = torch.stack([x, y], -1)
    source = torch.einsum("bij,hwj->bhwi", to_source, places) + middle[:, None, None]
    index = torch.from_numpy(chosen).to(device)
    rgb, numbers, heights = _sampled(plates.pictures[index].float(), source)
    if not plain:
        rgb = altered(rgb, numbers, rng)
    back = torch.linalg.inv(to_source)
    lines = torch.einsum("bij,bnkj->bnki", back, plates.lines_px[index] - middle[:, None, None])
    return inputs(rgb, rng, plain=plain), targets(numbers, heights, lines, places)


def _placed(plates: Plates, chosen: AnyArray, rng: np.random.Generator, *, plain: bool) -> tuple[Any, Any]:
    """From crop px about its middle to source px: (n, 2, 2) and the middle (n, 2)."""
    count, (height, width) = len(chosen), plates.pictures.shape[2:]
    scale = _MM_PER_PX / plates.mm_per_px[chosen] * (1.0 if plain else np.exp(rng.normal(0, 0.12, count)))
    angle = np.zeros(count) if plain else rng.uniform(0, 2 * np.pi, count)
    flip = np.ones(count) if plain else rng.choice([-1, 1], count)
    box, share = plates.boxes_px[chosen], rng.uniform(0, 1, (count, 2))
    among = np.stack([box[:, 0], box[:, 2]], 1) + share * np.stack([box[:, 1] - box[:, 0], box[:, 3] - box[:, 2]], 1)
    anywhere = rng.random(count) < _SHARE_ANYWHERE
    far = np.stack([rng.uniform(0, width, count), rng.uniform(0, height, count)], 1)
    middle = np.where(anywhere[:, None], far, among)
    cos, sin = np.cos(angle) * scale, np.sin(angle) * scale
    turn = np.stack([np.stack([cos * flip, -sin], -1), np.stack([sin * flip, cos], -1)], 1)
    return turn.astype(np.float32), middle.astype(np.float32)


def _sampled(pictures: torch.Tensor, source: torch.Tensor) -> tuple[torch.Tensor, torch.Tensor, torch.Tensor]:
    height, width = pictures.shape[2:]
    size = torch.tensor([width, height], device=pictures.device)
    grid = (source + 0.5) / size * 2 - 1
    rgb = F.grid_sample(pictures[:, :3], grid, mode="bilinear", padding_mode="border", align_corners=False) / 255
    near = F.grid_sample(pictures[:, 3:], grid, mode="nearest", padding_mode="zeros", align_corners=False).round()
    return rgb, near[:, 0].long(), near[:, 1] / 4


def inputs(rgb: torch.Tensor, rng: np.random.Generator, *, plain: bool) -> torch.Tensor:
    """Log of light, yellowness and redness as `grader.fries.view` has them, off by what a correction may leave."""
    matrix = SRGB_TO_XYZ / SRGB_TO_XYZ.sum(1, keepdims=True)
    linear = torch.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
    xyz = torch.einsum("ij,bjhw->bihw", torch.tensor(matrix, dtype=torch.float32, device=rgb.device), linear)

    def off(spread: float, mean: float = 0.0) -> torch.Tensor:
        drawn = rng.normal(0 if plain else mean, 0 if plain else spread, (len(rgb), 1, 1))
        return torch.from_numpy(drawn.astype(np.float32)).to(rgb.device)

    light = torch.log((xyz[:, 1] * torch.exp(off(0.3, 0.1))).clamp(min=0) + 0.04)
    strength, low = torch.exp(off(0.15)), xyz.clamp(min=2e-3)
    yellow = torch.log(low[:, 2] / low[:, 1]) * strength + off(0.08)
    red = torch.log(low[:, 0] / low[:, 1]) * strength + off(0.025)
    return F.pixel_unshuffle(torch.stack([light, yellow * 2, red * 4], 1), 2)


def targets(
    numbers: torch.Tensor, heights: torch.Tensor, lines: torch.Tensor, places: torch.Tensor
) -> dict[str, torch.Tensor]:
    """What the network should say; `on` tells where there is a fry, the only place where direction and height count."""
    fry = numbers > 0
    lone = numbers.float()[:, None]
    most = F.max_pool2d(torch.where(fry[:, None], lone, -torch.inf), 3, 1, 1)[:, 0]
    least = -F.max_pool2d(torch.where(fry[:, None], -lone, -torch.inf), 3, 1, 1)[:, 0]
    seam = (most > least) & fry
    coarse, at = numbers[:, ::2, ::2], places[::2, ::2]
    own = lines[torch.arange(len(numbers), device=numbers.device)[:, None, None], coarse]
    nearest = (own - at[None, :, :, None]).pow(2).sum(-1).argmin(-1).clamp(1, _LINE_POINTS - 2)

    def point(k: torch.Tensor) -> torch.Tensor:
        return torch.gather(own, 3, k[..., None, None].expand(-1, -1, -1, 1, 2))[..., 0, :]

    along = point(nearest + 1) - point(nearest - 1)
    angle = torch.atan2(along[..., 1], along[..., 0])
    middle = (point(torch.full_like(nearest, _LINE_POINTS // 2)) - at[None]) / REACH_PX
    return {
        "fry": F.pixel_unshuffle(fry.float()[:, None], 2),
        "seam": F.pixel_unshuffle(seam.float()[:, None], 2),
        "direction": torch.stack([torch.cos(2 * angle), torch.sin(2 * angle)], 1),
        "middle": middle.permute(0, 3, 1, 2),
        "height": heights[:, None, ::2, ::2] / 10,
        "on": (coarse > 0).float()[:, None],
    }
