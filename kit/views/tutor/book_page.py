"""How one answer book came about, as blocks: figures that accuse nobody, and questions to ask."""

from __future__ import annotations

from kit.records.reports.book_story import ACCUSES_NOBODY, BookStory
from kit.views.tutor.pages import Block, button, buttons, facts, table, title, words


def story_blocks(story: BookStory) -> list[Block]:
    """Return the page: each figure, whether to ask about it, its honest reason, and three questions.

    Parameters
    ----------
    story : BookStory
        What ``book_story`` found.
    """
    back = buttons(button(f"Back to {story.name}", do="person", person=story.person))
    head = [title(f"How the book of {story.name} came about", "book"), back]
    if not story.traits:
        return [*head, words("No book was taken in yet.", note=True)]
    rows = [
        (one.about, one.figure, f"Ask about it. {one.perhaps}" if one.ask else "–") for one in story.traits
    ]
    blocks = [
        *head,
        words(ACCUSES_NOBODY),
        table("How it came about", ("What", "Figure", "Worth asking about"), rows),
        title("Ask aloud", level=4),
    ]
    if not story.asks:
        return [*blocks, words("Nothing was tried yet that a question could be about.", note=True)]
    for place, each in enumerate(story.asks, 1):
        what = f"{each.criterion.id}, {each.why}"
        lines = [("Ask", each.ask.ask), ("A good answer", each.ask.good)]
        blocks += [words(f"**{place}. {each.criterion.text}** {what}."), facts(lines)]
    return blocks
