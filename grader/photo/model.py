"""A photograph as the rest of the program sees it: upright sRGB pixels, and what its file said of itself."""

from dataclasses import dataclass

from grader.arrays import PixelArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Photo:
    """One decoded photograph.

    Attributes
    ----------
    name
        As the sender called it; shown to people, never used as a path.
    sha256
        Of the bytes as they came, lower-case hex.
    pixels
        (h, w, 3) RGB, sRGB-encoded, upright (EXIF orientation applied); uint8 or uint16; read-only.
    file_format
        "JPEG", "PNG", "TIFF", "WEBP" or "HEIF".
    source_profile
        Name of the colour profile that the file carried, "sRGB (untagged)" where it carried none.
    focal_35mm
        EXIF 35 mm equivalent focal length, mm; None where the file doesn't say.
    taken_at
        EXIF time taken, ISO 8601 without a zone unless the file gives one; None where the file doesn't say.
    flash_fired
        The file's EXIF says that the flash fired.
    """

    name: str
    sha256: str
    pixels: PixelArray
    file_format: str
    source_profile: str
    focal_35mm: float | None
    taken_at: str | None
    flash_fired: bool = False

    @property
    def size_px(self) -> tuple[int, int]:
        """Width and height, pixels."""
        return self.pixels.shape[1], self.pixels.shape[0]
