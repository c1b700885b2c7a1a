"""A task's picture, drawn to be printed."""

from kit.marking.model import Picture
from kit.views.pictures import ink
from kit.views.pictures.register import draw_picture


def png_of(picture: Picture) -> bytes:
    """Return a picture as PNG; nothing for a drawing in lines alone, which is told in words."""
    figure = draw_picture(picture.name, picture.data).figure
    return b"" if isinstance(figure, str) else ink.png(figure)
