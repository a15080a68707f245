"""Make the picture of many books of the demo: `python demo_scans/make_box_picture.py`.

The covers in nine pictures of box 2, made small, each turned a little, beside each other as in an opened box: one
picture in which a symbol has a thirteenth to an eighteenth of its width. The same pictures make the same file.
"""

from pathlib import Path

import numpy as np
from PIL import Image

HERE = Path(__file__).resolve().parent
SHOWN = ("03", "04", "05", "06", "07", "09", "10", "11", "12")
COLUMNS = 3
BOOK_PX = (620, 465)
GROUND = (96, 78, 58)
"""The cardboard between the books."""


def main() -> None:
    """Lay the pictures out and save the result."""
    random = np.random.default_rng(2)
    cell = (BOOK_PX[0] + 60, BOOK_PX[1] + 60)
    rows = -(-len(SHOWN) // COLUMNS)
    box = Image.new("RGB", (COLUMNS * cell[0], rows * cell[1]), GROUND)
    for nth, name in enumerate(SHOWN):
        with Image.open(HERE / "photographs" / "box-2" / f"{name}.jpg") as picture:
            book = picture.convert("RGB").resize(BOOK_PX, Image.Resampling.LANCZOS).convert("RGBA")
        turned = book.rotate(float(random.uniform(-4, 4)), Image.Resampling.BICUBIC, expand=True)
        left = nth % COLUMNS * cell[0] + (cell[0] - turned.width) // 2
        top = nth // COLUMNS * cell[1] + (cell[1] - turned.height) // 2
        box.paste(turned, (left, top), turned)
    folder = HERE / "photographs" / "opened"
    folder.mkdir(exist_ok=True)
    box.save(folder / "2.jpg", quality=88)


if __name__ == "__main__":
    main()
