"""The typeface of everything the shop prints: found once, registered, and honest about what it cannot write.

DejaVu is taken from the system where it is installed; otherwise Bitstream Vera, which the PDF library brings along and
which writes western European names only. A character that the typeface lacks is printed as a box (or a question
mark), so that a name in any script makes a label and never an error.
"""

import unicodedata
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import reportlab
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

_FOLDERS = (
    "/usr/share/fonts/truetype/dejavu",
    "/usr/share/fonts/dejavu-sans-fonts",
    "/usr/share/fonts/dejavu",
    "/usr/share/fonts/TTF",
    "/usr/local/share/fonts",
    "/Library/Fonts",
    "C:/Windows/Fonts",
)
_DEJAVU = ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf", "DejaVuSansMono-Bold.ttf")
_VERA = ("Vera.ttf", "VeraBd.ttf", "VeraBd.ttf")
# One common letter of each script that customers' names are likely to need.
_SCRIPTS = {
    "Latin": "aé", "Polish and Czech": "łř", "Vietnamese": "ầ", "Greek": "λ", "Cyrillic": "ж", "Armenian": "ա",
    "Georgian": "ა", "Hebrew": "א", "Arabic": "ب", "Devanagari": "क", "Bengali": "ক", "Tamil": "க", "Thai": "ก",
    "Chinese": "中", "Japanese": "かカ", "Korean": "한",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Fonts:
    """Three registered fonts: `regular`, `bold` and a bold `mono` for codes (bold again where there is no mono).

    family names the typeface; missing lists the scripts that it cannot write, for the doctor to say.
    """

    family: str
    regular: str
    bold: str
    mono: str
    missing: tuple[str, ...]

    def file_of(self, name: str) -> Path:
        """Return the TrueType file of one of the three fonts."""
        return Path(pdfmetrics.getFont(name).face.filename)

    def writable(self, text: str, name: str) -> str:
        """Return text on one line, composed (NFC), with a box or question mark for what the font lacks.

        Characters beyond U+FFFF count as lacking: the PDF library garbles them when the text is copied out.
        """
        glyphs = pdfmetrics.getFont(name).face.charToGlyph
        instead = "\u25a1" if 0x25A1 in glyphs else "?"
        line = " ".join(unicodedata.normalize("NFC", text).split())
        return "".join(symbol if symbol <= "\uffff" and ord(symbol) in glyphs else instead for symbol in line)


@lru_cache(maxsize=1)
def find_font() -> Fonts:
    """Find, register and return the fonts for print."""
    for folder in _FOLDERS:
        if all((Path(folder) / file).is_file() for file in _DEJAVU):
            return register("DejaVu Sans", Path(folder), _DEJAVU)
    return bundled_font()


def bundled_font() -> Fonts:
    """Register and return the fonts that come with the PDF library, which every machine has."""
    return register("Bitstream Vera Sans", Path(reportlab.__file__).parent / "fonts", _VERA)


def register(family: str, folder: Path, files: tuple[str, str, str]) -> Fonts:
    """Register three TrueType files of a folder (regular, bold, mono) and say what they cannot write."""
    names = [f"Shop-{Path(file).stem}" for file in files]
    for name, file in zip(names, files, strict=True):
        if name not in pdfmetrics.getRegisteredFontNames():
            pdfmetrics.registerFont(TTFont(name, str(folder / file)))
    glyphs = pdfmetrics.getFont(names[0]).face.charToGlyph
    missing = tuple(script for script, letters in _SCRIPTS.items() if any(ord(sign) not in glyphs for sign in letters))
    return Fonts(family, names[0], names[1], names[2], missing)
