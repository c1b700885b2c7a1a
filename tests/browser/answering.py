"""Answering a task in a real page, whatever its kind: with the mouse, or by the keyboard alone."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from playwright.sync_api import Locator, Page

from kit.marking.model import Question

NUMBERS = ("number", "chart")
PLACE = "(one) => [...one.parentElement.children].indexOf(one)"


def card_of(page: Page, exercise: str) -> Locator:
    return page.locator(f"[data-exercise={exercise}]")


def typed(answer: Any) -> str:
    return answer if isinstance(answer, str) else f"{answer:.10g}"


def by_mouse(page: Page, question: Question, answer: Any) -> None:
    """Put an answer into its task and press the button."""
    card = card_of(page, question.exercise)
    WITH_MOUSE[question.kind_name](card, question, answer)
    card.locator("button[type=submit]").click()


def _type(card: Locator, _question: Question, answer: Any) -> None:
    card.locator("form input[type=text]").first.fill(typed(answer))


def _one(card: Locator, _question: Question, answer: str) -> None:
    card.locator(f"form input[value='{answer}']").check()


def _several(card: Locator, question: Question, answer: list[str]) -> None:
    for option in question.kind.options:  # type: ignore[union-attr]
        card.locator(f"form input[value='{option.key}']").set_checked(option.key in answer)


def _order(card: Locator, _question: Question, answer: list[str]) -> None:
    for place, key in enumerate(answer):
        row = card.locator(f"li[data-key='{key}']")
        while row.evaluate(PLACE) > place:
            row.locator("[data-by=up]").click()


def _match(card: Locator, _question: Question, answer: Mapping[str, str]) -> None:
    for left, right in answer.items():
        card.locator(f".sk-line[data-key='{left}']").click()
        card.locator(f".sk-partner[data-key='{right}']").click()


def _places(card: Locator, _question: Question, answer: list[list[float]]) -> None:
    board = card.locator(".sk-board")
    while card.get_by_role("button", name="Take back the last mark").is_visible():
        card.get_by_role("button", name="Take back the last mark").click()
    for x, y in answer:
        board.scroll_into_view_if_needed()
        box = board.bounding_box()
        assert box is not None
        board.click(position={"x": box["width"] * x, "y": box["height"] * y})


def _controls(card: Locator, question: Question, answer: Mapping[str, float]) -> None:
    controls, fields = question.kind.controls, card.locator("form .sk-small").all()  # type: ignore[union-attr]
    for control, field in zip(controls, fields, strict=True):
        field.fill(typed(answer[control.key]))


def _recommend(card: Locator, _question: Question, answer: Mapping[str, str]) -> None:
    card.locator(f"form input[value='{answer['decision']}']").check()
    card.locator("form select").select_option(answer["reason"])


def _explain(card: Locator, question: Question, answer: str) -> None:
    card.locator("form textarea").fill(answer)


WITH_MOUSE: dict[str, Callable[[Locator, Question, Any], None]] = {
    **dict.fromkeys(NUMBERS, _type),
    "one": _one,
    "several": _several,
    "order": _order,
    "match": _match,
    "places": _places,
    "controls": _controls,
    "recommend": _recommend,
    "explain": _explain,
}


class Keys:
    """A reader without a mouse: Tab, arrows, Space, Enter, what is typed; no click, no focus by script."""

    MOST = 400
    """So many tabs may lie between two controls."""

    def __init__(self, page: Page) -> None:
        self.page, self.pressed = page, 0

    def press(self, key: str, times: int = 1) -> None:
        for _ in range(times):
            self.page.keyboard.press(key)
            self.pressed += 1

    def at(self, selector: str) -> bool:
        return bool(self.page.evaluate("(wanted) => document.activeElement?.matches(wanted)", selector))

    def tab_to(self, selector: str) -> None:
        """Press Tab until the focus is there: whatever cannot be reached so fails."""
        for _ in range(self.MOST):
            if self.at(selector):
                return
            self.press("Tab")
        raise AssertionError(f"{self.MOST} tabs did not reach {selector}")

    def answer(self, question: Question, answer: Any) -> None:
        """Put an answer into its task and send it."""
        within = f"[data-exercise={question.exercise}] form"
        getattr(self, "_number" if question.kind_name in NUMBERS else f"_{question.kind_name}")(
            within, question, answer
        )

    def _number(self, within: str, _question: Question, answer: Any) -> None:
        self.tab_to(f"{within} input[type=text]")
        self.page.keyboard.type(typed(answer))
        self.press("Enter")

    def _pick(self, within: str, key: str) -> None:
        self.tab_to(f"{within} input[type=radio]")
        self.press("Space")
        for _ in range(12):
            if self.at(f"[value='{key}']"):
                return
            self.press("ArrowDown")
        raise AssertionError(f"the arrow keys never reached {key}")

    def _one(self, within: str, _question: Question, answer: str) -> None:
        self._pick(within, answer)
        self.press("Enter")

    def _several(self, within: str, question: Question, answer: list[str]) -> None:
        for option in question.kind.options:  # type: ignore[union-attr]
            if option.key in answer:
                self.tab_to(f"{within} input[value='{option.key}']")
                self.press("Space")
        self.press("Enter")

    def _order(self, within: str, _question: Question, answer: list[str]) -> None:
        for place, key in enumerate(answer):
            row = f"{within} li[data-key='{key}']"
            far = self.page.locator(row).evaluate(PLACE) - place
            if far:
                self.tab_to(f"{row} .sk-grip")
                self.press("ArrowUp", far)
        self.tab_to(f"{within} [type=submit]")
        self.press("Enter")

    def _match(self, within: str, question: Question, answer: Mapping[str, str]) -> None:
        partners = [option.key for option in question.kind.right]  # type: ignore[union-attr]
        for left, right in answer.items():
            self.tab_to(f"{within} .sk-line[data-key='{left}']")
            self.press("Enter")  # takes the line in hand, and leads to the first partner
            self.press("ArrowDown", partners.index(right))
            self.press("Enter")
        self.tab_to(f"{within} [type=submit]")
        self.press("Enter")

    def _places(self, within: str, question: Question, answer: list[list[float]]) -> None:
        self.tab_to(f"[data-exercise={question.exercise}] .sk-board")
        x, y = 0.5, 0.5
        for to_x, to_y in answer:
            self.press("ArrowRight" if to_x > x else "ArrowLeft", round(abs(to_x - x) / 0.02))
            self.press("ArrowDown" if to_y > y else "ArrowUp", round(abs(to_y - y) / 0.02))
            self.press("Enter")
            x, y = to_x, to_y
        self.tab_to(f"{within} [type=submit]")
        self.press("Enter")

    def _controls(self, within: str, question: Question, answer: Mapping[str, float]) -> None:
        for number, control in enumerate(question.kind.controls, start=1):  # type: ignore[union-attr]
            self.tab_to(f"{within} .sk-setting:nth-of-type({number}) .sk-small")
            self.press("Control+A")
            self.page.keyboard.type(typed(answer[control.key]))
        self.press("Enter")

    def _recommend(self, within: str, question: Question, answer: Mapping[str, str]) -> None:
        self._pick(within, answer["decision"])
        self.tab_to(f"{within} select")
        keys = [""] + [option.key for option in question.kind.reasons]  # type: ignore[union-attr]
        self.press("ArrowDown", keys.index(answer["reason"]))
        self.press("Enter")

    def _explain(self, within: str, _question: Question, answer: str) -> None:
        self.tab_to(f"{within} textarea")
        self.page.keyboard.type(answer)
        self.tab_to(f"{within} [type=submit]")
        self.press("Enter")
