"""The line at the top of a lesson: who is working, on what, under which rules, and how far they are."""

import traitlets as t

from kit.views.workbook.widget_base import WorkbookWidget, script


class Banner(WorkbookWidget):
    """Shows the ``page`` it is given; the lesson gives it a new one after every answer."""

    _esm = script("common", "jump", "banner")
    page = t.Dict().tag(sync=True)
    said = "The head of a lesson. Run the lesson to see who is working."


def show_banner(banner: Banner) -> None:
    """Show a banner where there is a notebook to show it in."""
    from IPython import get_ipython
    from IPython.display import display

    if get_ipython() is not None:
        display(banner)
