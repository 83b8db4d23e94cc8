"""What people see: colours, drawings, and words for those who do not see.

Contrast is the ratio of WCAG 2.2 (W3C, definitions of "relative luminance" and "contrast
ratio"), never rounded before it is compared.
"""

from bedside.checks.material import Fault, Faults, Material
from bedside.language.readability import words_in
from bedside.model.records import MEMORY
from bedside.problems import WARNING
from bedside.read.drawing import PARTS, drawing_faults, part_names

TEXT = 4.5  # success criterion 1.4.3, text
DRAWN = 3.0  # success criterion 1.4.11, lines and controls


def luminance(colour: str) -> float:
    """Give the relative luminance, 0 to 1, of a colour written #rrggbb."""
    red, green, blue = (_linear(int(colour[at : at + 2], 16) / 255) for at in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _linear(channel: float) -> float:
    """Undo the gamma of one sRGB channel, 0 to 1."""
    return channel / 12.92 if channel <= 0.04045 else ((channel + 0.055) / 1.055) ** 2.4


def contrast(one: str, other: str) -> float:
    """Give the contrast ratio, 1 to 21, of two colours written #rrggbb."""
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


READ_COLOURS = ("ink", "leaf", "bloom", "ochre", "quiet")
DRAWN_COLOURS = ("line",)
ALT_WORDS = (5, 25)  # fewest and most words of an alternative text


def low_contrast(material: Material) -> Faults:
    """Every colour stands apart from the paper, unrounded (WCAG 2.2, 1.4.3 and 1.4.11)."""
    nursery = material.library.knowledge.nursery
    for side, colours in (("light", nursery.light), ("dark", nursery.dark)):
        for names, needed in ((READ_COLOURS, TEXT), (DRAWN_COLOURS, DRAWN)):
            for name in names:
                ratio = contrast(colours[name], colours["paper"])
                if ratio < needed:
                    yield Fault(
                        place=material.library.place("nursery.yaml", side, name),
                        message=f"'{name}' on paper has a contrast of {ratio:.3f}",
                        hint=f"it needs at least {needed}",
                    )


HOW_DRAWN = (
    "mend it in a text editor: a drawing is 160 by 120 and holds shapes, each with a class "
    "(o outline, f fine, h hatch, b the feature, r its ring), and no color of its own"
)


def spoiled_drawing(material: Material) -> Faults:
    """Every drawing keeps to the sheet: its size, pens and parts, and nothing that runs."""
    for plant in material.plants:
        parts = part_names(plant.drawings.get(PARTS, ""))
        for name, svg in plant.drawings.items():
            place = material.library.place(f"{plant.id}/drawings/{name}.svg")
            for fault in drawing_faults(svg, None if name == PARTS else parts):
                yield Fault(place=place, message=fault, hint=HOW_DRAWN)


def undrawn_answer(material: Material) -> Faults:
    """Every answer to something that is looked at has a drawing."""
    for plant in material.plants:
        for sign in plant.signs.values():
            for number, answer in enumerate(sign.answers):
                if sign.looked_at != MEMORY and not answer.drawing:
                    yield Fault(
                        place=material.library.place(sign.file, "answers", number, "id"),
                        message=f"'{answer.id}' has no drawing, so a plain sketch is shown",
                        hint="name one under 'drawing', or say 'looked_at: memory' "
                        "if nobody has to look",
                        level=WARNING,
                    )


def missing_alt_text(material: Material) -> Faults:
    """Every answer with a drawing says in words what the drawing shows."""
    for plant in material.plants:
        for sign in plant.signs.values():
            for number, answer in enumerate(sign.answers):
                if answer.drawing and not answer.shows:
                    path = ("answers", number, "drawing")
                    yield Fault(
                        place=material.library.place(sign.file, *path),
                        message="nothing says what this drawing shows",
                        hint="write 'shows' for those who cannot see it",
                    )


def alt_text_length(material: Material) -> Faults:
    """A text that stands for a picture has 5 to 25 words."""
    fewest, most = ALT_WORDS
    for text in material.texts:
        length = len(words_in(text.say))
        if text.voice == "shows" and not fewest <= length <= most:
            yield Fault(
                place=text.place,
                message=f"this text for a picture has {length} words",
                hint=f"say what is seen in {fewest} to {most} words",
            )
