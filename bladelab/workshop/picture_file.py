"""A reader's photograph as grey values: which files are pictures, and how large they may be."""

from __future__ import annotations

import io
import os
import warnings
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from bladelab._errors import InputError
from bladelab._files import PHOTO, called, quoted, read_limited

if TYPE_CHECKING:
    from PIL.Image import Image as Picture

PIXEL_LIMIT = 60_000_000
#: Endings of pictures that can be read.
READABLE = (".jpg", ".jpeg", ".png", ".webp", ".bmp")
#: Endings of pictures that can't be, though cameras write them.
UNREADABLE = (".heic", ".heif", ".hif", ".avif", ".dng", ".tif", ".tiff")
#: Only these decoders ever see a reader's file: none of them starts another program or writes a file.
_FORMATS = ("JPEG", "PNG", "WEBP", "BMP")
#: A picture of twice this or more along its longer side is reduced: no lens draws an edge sharper than that.
_ENOUGH_PX = 4000
_HEIC_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1", b"avif", b"avis")


def read_photo(source: str | os.PathLike[str] | bytes, name: str = "the picture") -> NDArray[np.uint8]:
    """Return a photograph as grey values 0 to 255, turned as the camera noted.

    Parameters
    ----------
    source : path, or bytes
        A JPEG, PNG, WebP or BMP file, or what it holds.
    name : str
        What the messages call it, if it comes as bytes.

    Returns
    -------
    array of uint8, shape (rows, columns)
        A picture of 8000 px or more along its longer side comes at a half of its size, or less.

    Raises
    ------
    InputError
        If there is no such file, it is no plain file, it has over 40 MB or 60 megapixels, or it isn't such a
        picture.

    Examples
    --------
    >>> from bladelab._data import data_file
    >>> read_photo(data_file("demo/blade_photo.png")).ndim  # an invented picture
    2
    """
    from PIL import Image

    if isinstance(source, bytes):
        contents, name = source, called(name)
        if len(contents) > PHOTO.most_bytes:
            raise InputError(
                f"{name} has {len(contents) / 1e6:.0f} MB; it must have at most "
                f"{PHOTO.most_bytes / 1e6:.0f} MB"
            )
    else:
        if not isinstance(source, str | os.PathLike):
            raise InputError(f"the photograph is {quoted(source)}; it must be the name of a file")
        name = called(source)
        if name.lower().endswith(UNREADABLE):
            raise InputError(unreadable(name))
        contents = read_limited(source, PHOTO)
    if contents[4:8] == b"ftyp" and contents[8:12] in _HEIC_BRANDS:
        raise InputError(unreadable(name))
    too_large = InputError(
        f"{name} has more than {PIXEL_LIMIT / 1e6:.0f} megapixels; it must have at most "
        f"{PIXEL_LIMIT / 1e6:.0f}: make it smaller"
    )
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of Pillow's: about sizes that are refused here, and odd notes
            with Image.open(io.BytesIO(contents), formats=_FORMATS) as picture:
                if picture.width * picture.height > PIXEL_LIMIT:
                    raise too_large
                return _grey(picture)
    except InputError:
        raise
    except Image.DecompressionBombError:
        raise too_large from None
    except Exception:  # a damaged file can make a decoder fail in any way
        raise InputError(f"{name}: this isn't a picture bladelab can read; save it as JPEG or PNG") from None


def unreadable(name: str) -> str:
    """What to do about a picture of a kind that can't be read here."""
    if name.lower().endswith((".dng", ".tif", ".tiff")):
        return f"{name} can't be read here; save it as JPEG or PNG and use that"
    return (
        f"{name} is a HEIC picture, as many phones save them, and can't be read here; send it to "
        "yourself as JPEG, or set the camera to 'most compatible' and take it again"
    )


def _grey(picture: Picture) -> NDArray[np.uint8]:
    from PIL import Image, ImageOps

    if picture.format in ("JPEG", "MPO"):
        factor = max(1, max(picture.size) // _ENOUGH_PX)
        picture.draft("L", (picture.width // factor, picture.height // factor))  # reduced while it is decoded
    if picture.mode.startswith("I"):  # 16 bits of grey, of which the upper 8 are enough
        deep = np.asarray(picture)
        upper = np.empty(deep.shape, dtype=np.uint8)
        np.right_shift(deep, 8, out=upper, casting="unsafe")
        del deep
        grey = Image.fromarray(upper)
        grey.info = picture.info  # which side is up
    else:
        grey = picture.convert("L")
    if (smaller := max(grey.size) // _ENOUGH_PX) > 1:
        grey = grey.reduce(smaller)
    ImageOps.exif_transpose(grey, in_place=True)
    return np.asarray(grey)
