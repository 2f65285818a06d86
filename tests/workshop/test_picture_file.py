"""Pictures of a reader: which are read, which are refused in words, and what each costs."""

import io
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from bladelab import InputError, read_photo

DEMO = Path(__file__).resolve().parents[2] / "data" / "demo" / "blade_photo.png"


def test_files_that_are_no_picture_are_refused(tmp_path):
    with pytest.raises(InputError, match=r"gone.png: there is no such file"):
        read_photo(tmp_path / "gone.png")
    (tmp_path / "text.png").write_text("hello")
    with pytest.raises(InputError, match=r"text.png: this isn't a picture bladelab can read"):
        read_photo(tmp_path / "text.png")
    cut = tmp_path / "cut.png"
    cut.write_bytes(DEMO.read_bytes()[:5000])
    with pytest.raises(InputError, match=r"cut.png: this isn't a picture"):
        read_photo(cut)
    with (tmp_path / "huge.jpg").open("wb") as out:
        out.truncate(200_000_000)
    with pytest.raises(InputError, match=r"huge.jpg: .*200 MB"):
        read_photo(tmp_path / "huge.jpg")
    with pytest.raises(InputError, match=r"the photograph is None; it must be the name of a file"):
        read_photo(None)


@pytest.mark.parametrize("size", [(9000, 7000), (12_000, 8000), (20_000, 10_000)])
def test_too_many_pixels_are_refused_before_they_are_decoded(size, tmp_path):
    # Only the header is a picture's: decoding would say that the file is cut.
    whole = io.BytesIO()
    Image.new("1", size).save(whole, "png")
    (tmp_path / "wide.png").write_bytes(whole.getvalue()[:200])
    with pytest.raises(InputError, match=r"wide.png has more than 60 megapixels; it must have at most 60"):
        read_photo(tmp_path / "wide.png")


def test_a_program_for_printers_is_never_run(tmp_path, monkeypatch):
    """An EPS file under another name: Pillow would give it to Ghostscript."""
    started = []
    monkeypatch.setattr(subprocess, "check_call", lambda *a, **k: started.append(a))
    monkeypatch.setattr(subprocess, "Popen", lambda *a, **k: started.append(a))
    from PIL import EpsImagePlugin

    monkeypatch.setattr(EpsImagePlugin, "has_ghostscript", lambda: True)
    monkeypatch.setattr(EpsImagePlugin, "gs_binary", "gs")
    text = b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\n%%EndComments\n{} loop\n%%EOF\n"
    (tmp_path / "blade.png").write_bytes(text)
    with pytest.raises(InputError, match=r"blade.png: this isn't a picture bladelab can read"):
        read_photo(tmp_path / "blade.png")
    assert not started


@pytest.mark.parametrize("form", ["GIF", "TIFF", "PCX", "PPM", "ICO", "PDF"])
def test_other_kinds_of_picture_are_refused_whatever_their_name(form, tmp_path):
    Image.new("L", (60, 60), 128).save(tmp_path / "blade.jpg", form)
    with pytest.raises(InputError, match=r"this isn't a picture bladelab can read; save it as JPEG or PNG"):
        read_photo(tmp_path / "blade.jpg")


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP", "BMP"])
def test_four_kinds_are_read_from_a_file_or_from_memory(form, tmp_path):
    ramp = np.tile(np.linspace(20, 230, 120).astype(np.uint8), (80, 1))
    file = tmp_path / f"ramp.{form.lower()}"
    Image.fromarray(ramp).convert("RGB").save(file, form, quality=95)
    for grey in (read_photo(file), read_photo(file.read_bytes(), "ramp")):
        assert grey.dtype == np.uint8 and grey.shape == (80, 120)
        assert np.abs(grey.astype(int) - ramp).max() <= 4


def test_16_bits_of_grey_keep_their_light_and_shade(tmp_path):
    ramp = np.tile(np.linspace(0, 65535, 256).astype(np.uint16), (10, 1))
    Image.fromarray(ramp).save(tmp_path / "deep.png")
    assert (read_photo(tmp_path / "deep.png") == ramp >> 8).all()


@pytest.mark.parametrize("form", ["JPEG", "PNG"])
@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_picture_is_turned_as_the_camera_noted(form, orientation, tmp_path):
    upright = np.full((60, 90), 200, dtype=np.uint8)
    upright[:30, :30] = 20  # the upper left corner is dark
    # How the camera stored it, so that the note turns it upright: the eight cases of the Exif standard, tag
    # 0x0112.
    stored = {
        1: upright,
        2: upright[:, ::-1],
        3: upright[::-1, ::-1],
        4: upright[::-1],
        5: upright.T,
        6: upright.T[::-1],
        7: upright.T[::-1, ::-1],
        8: upright.T[:, ::-1],
    }[orientation]
    exif = Image.Exif()
    exif[0x0112] = orientation
    file = tmp_path / "turned.jpg"
    Image.fromarray(np.ascontiguousarray(stored)).save(file, form, exif=exif)
    grey = read_photo(file)
    assert grey.shape == upright.shape
    assert np.abs(grey[5:25, 5:25].astype(int) - 20).max() < 5
    assert np.abs(grey[35:, 35:].astype(int) - 200).max() < 5


@pytest.mark.parametrize("name", ["IMG_1.heic", "IMG_1.HEIF", "disguised.jpg"])
def test_what_telephones_write_and_nobody_reads_gets_advice(name, tmp_path):
    (tmp_path / name).write_bytes(b"\0\0\0\x18ftypheic\0\0\0\0mif1heic" + bytes(200))
    with pytest.raises(InputError, match=rf"{name} is a HEIC picture.*as JPEG.*'most compatible'"):
        read_photo(tmp_path / name)


def test_a_name_of_many_lines_is_quoted_on_one():
    with pytest.raises(InputError) as problem:
        read_photo(b"no picture", "a\nb" * 50_000)
    assert len(str(problem.value)) < 150 and "\n" not in str(problem.value)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="there are no pipes with a name")
def test_pipes_and_devices_are_not_read(tmp_path):
    os.mkfifo(tmp_path / "pipe.png")
    for path in (tmp_path / "pipe.png", Path("/dev/zero"), tmp_path):
        with pytest.raises(InputError):
            read_photo(path)


_PEAK = """
import re, sys
from pathlib import Path
import numpy as np, PIL.Image
from bladelab import read_photo

def peak_kb():
    return int(re.search(r"VmHWM:\\s*(\\d+)", Path("/proc/self/status").read_text())[1])

before = peak_kb()
grey = read_photo(sys.argv[1])
print(grey.shape[1], grey.shape[0], peak_kb() - before)
"""


@pytest.mark.slow
@pytest.mark.skipif(sys.platform != "linux", reason="memory is told otherwise elsewhere")
@pytest.mark.parametrize(
    ("mode", "form", "columns", "most_mb"),
    [("I;16", "png", 4500, 450), ("RGB", "png", 4500, 450), ("RGB", "jpg", 4500, 150)],
)
def test_the_largest_picture_costs_some_hundred_megabytes(mode, form, columns, most_mb, tmp_path):
    """58 megapixels; as grey values of 8 bytes they alone take 470 MB."""
    file = tmp_path / f"large.{form}"
    Image.new(mode, (9000, 6500)).save(file, **({"compress_level": 1} if form == "png" else {}))
    run = subprocess.run([sys.executable, "-c", _PEAK, str(file)], capture_output=True, text=True, check=True)
    width, _, peak_kb = map(int, run.stdout.split())
    assert width == columns
    assert peak_kb / 1000 < most_mb
