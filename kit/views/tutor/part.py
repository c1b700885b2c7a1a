"""The widgets of the desk: a part of the page, and the panel with its forms. Wiring only."""

import logging
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import Any

import ipywidgets as w
import traitlets as t

from kit.basics.errors import KitError
from kit.records.competence.deciding import Changed
from kit.records.competence.readings import Contradicted
from kit.records.people.staff import Hand
from kit.views.tutor import pages
from kit.views.tutor.form import Done, Field, Form, Proposal, done_of
from kit.views.tutor.forms import form_for, propose
from kit.views.tutor.inputs import BigButtons, Photo, desk_style, joined
from kit.views.workbook.widget_base import WorkbookWidget, plain

_LOG = logging.getLogger("kit.views")
FAULT = (
    "The desk has a fault. Reload the page, and look at what was recorded last before you try again. "
    "Please tell who looks after this machine."
)
NOTHING_OPEN = "No form is open. Open one from a list above, from a person's page or from the evidence."


class Part(WorkbookWidget):
    """One part of the desk: blocks to show, and somebody who hears what is asked."""

    _esm = joined("desk")
    _css = desk_style()
    shown = t.Dict().tag(sync=True)
    said = "A part of the tutor's desk. Run the notebook to use it."

    def __init__(self, ask: Callable[[Mapping[str, Any]], None], name: str = "") -> None:
        self._ask, self._turn, self._name = ask, 0, name
        self._then: Callable[[], None] | None = None
        super().__init__(shown={"blocks": [], "turn": 0, "page": name})

    def show(self, blocks: Sequence[Mapping[str, Any]], *, focus: str = "", near: bool = False) -> None:
        """Show blocks. With ``focus`` the page goes to the heading or message of that key."""
        if focus:
            self._turn += 1
        self.shown = {
            "blocks": [dict(block) for block in blocks],
            "turn": self._turn,
            "focus": focus,
            "near": near,
            "page": self._name,
        }

    def settle(self, then: Callable[[], None]) -> None:
        """Ask the page whether all that was typed has been sent, and only then go on.

        A click can overtake a text that was typed before it: the page holds a text back while the kernel is
        busy with an earlier one, but never a click.
        """
        self._then = then
        self.send({"reply": "settle"})

    def heard(self, content: Mapping[str, Any]) -> None:
        """Hand on what the page asks, and tell it when that is done."""
        if content.get("do") == "settled":
            then, self._then = self._then, None
            if then is not None:
                then()
            return
        self._ask(content)
        self.send({"reply": "done"})

    def _hear(self, _widget: Any, content: Any, buffers: Any) -> None:
        """Hear a message; a fault of ours or of the disk is said in the words of the desk."""
        try:
            if isinstance(content, Mapping):
                self.heard(content)
        except KitError as error:
            self.trouble(content, str(error))
        except OSError as error:
            self.trouble(content, plain_words(error))
        except Exception:  # the page must not wait for ever
            _LOG.exception("A message from the desk could not be answered.")
            self.trouble(content, FAULT)

    def trouble(self, content: Mapping[str, Any], words: str) -> None:
        """Say above the blocks why what was asked could not be done."""
        old = [block for block in self.shown["blocks"] if block.get("key") != "trouble"]
        self.show([pages.say(words, "error", "trouble"), *old], focus="trouble", near=True)
        self.send({"reply": "done"})


class Panel(w.VBox):
    """The forms of the desk. First what will be recorded is shown; then the key's password signs just that.

    Parameters
    ----------
    hand : Hand
        Who is at the desk, without a key.
    open_key : callable
        Takes the password and returns the opened key, or None where the person has no key.
    needs_password : bool
        Whether the person has a key on file.
    done : callable
        Told what came of a form.
    """

    def __init__(
        self,
        hand: Hand,
        open_key: Callable[[str], Any],
        *,
        needs_password: bool,
        done: Callable[[Done], None] = lambda done: None,
    ) -> None:
        self._hand, self._open_key, self.tell = hand, open_key, done
        self.ask: Mapping[str, Any] = {}
        self.form: Form | None = None
        self.proposal: Proposal | None = None
        self.fields: dict[str, Any] = {}
        self._first: dict[str, Any] = {}
        self.head, self.preview, self.result = (
            Part(self._heard, name) for name in ("form", "preview", "result")
        )
        self.inputs = w.VBox()
        self.look = w.Button(description="Show what will be recorded")
        self.password = w.Password(description="Password of your key", continuous_update=False)
        self.sign = w.Button()
        self.sign.add_class("d-sign-it")
        self._needs = needs_password
        self._signing = w.VBox([self.preview, self.password, self.sign])
        self._signing.add_class("d-signing")
        self._form_box = w.VBox([self.inputs, self.look, self._signing])
        self._form_box.add_class("d-form")
        self.look.on_click(lambda _: self.result.settle(self._show_proposal))
        self.sign.on_click(lambda _: self.result.settle(self._sign))
        super().__init__([self.head, self._form_box, self.result])
        self.add_class("sk-desk")
        self.add_class("sk")
        self._rest()

    def __repr__(self) -> str:
        """Return what stands in a notebook that has been saved but not run."""
        return "The forms of the tutor's desk. Run the notebook to use them."

    def open_form(self, ask: Mapping[str, Any], *, keep: Mapping[str, Any] | None = None) -> None:
        """Open the form that is asked for; ``keep`` are values typed before that stay."""
        self.form = form_for(self._hand, ask)
        self.ask = dict(ask)
        self.result.show([])
        self._clear()
        self.fields = {field.name: made_field(field) for field in self.form.fields}
        self._first = self.values()
        for name, value in (keep or {}).items():
            if name in self.fields:
                self.fields[name].value = value
        for widget in self.fields.values():
            widget.observe(self._withdraw, "value")
        for field in self.form.fields:
            if field.asked_of and not self.fields[field.name].value:
                self.fields[field.name].layout.display = "none"
        self.inputs.children = _laid_out(self.form.fields, self.fields)
        self._withdraw()
        signs = self.form.signed and self._needs
        self.password.layout.display = "" if signs else "none"
        self.sign.description = "Sign and record" if signs else "Record" if self.form.signed else "Do it"
        self.look.description = "Show what will be recorded" if self.form.keeps else "Work it out"
        self._form_box.layout.display = ""
        close = pages.button("Close this form", do="close")
        blocks = [
            pages.title(self.form.title, "form-title"),
            pages.facts(self.form.about),
            *([] if self.form.sort == "first day" else [pages.buttons(close)]),
        ]
        self.head.show(blocks, focus="form-title")

    def values(self) -> dict[str, Any]:
        """Return what is typed now. The password is no field, so it is never among them."""
        return {name: widget.value for name, widget in self.fields.items()}

    @property
    def touched(self) -> bool:
        """Whether a form is open and something in it was typed or chosen."""
        return self.form is not None and self.values() != self._first

    def _heard(self, content: Mapping[str, Any]) -> None:
        if content.get("do") == "close":
            self._rest()
        elif content.get("do") == "look again":
            self.open_form(self.ask, keep=self.values())

    def _rest(self) -> None:
        """Close the form."""
        self.form = self.proposal = None
        self.password.value = ""
        self._clear()
        self._form_box.layout.display = "none"
        self.head.show([pages.words(NOTHING_OPEN, note=True)])

    def _clear(self) -> None:
        """Close the fields of the form before, so that they do not pile up."""
        old, self.fields, self.inputs.children = self.fields, {}, ()
        for widget in old.values():
            widget.close()

    def _withdraw(self, _change: Any = None) -> None:
        """Whatever changes in a field takes the proposal back: only what was shown can be signed."""
        self.proposal = None
        self.password.value = ""
        self._signing.layout.display = "none"
        self.preview.show([])

    def _show_proposal(self) -> None:
        if self.form is None:
            return
        self._withdraw()
        self.result.show([])
        try:
            self.proposal = propose(self._hand, self.form, self.values())
        except (KitError, OSError) as error:
            self._refuse(error)
            return
        self._signing.layout.display = ""  # first: what is hidden cannot take the focus
        says = "This will be recorded" if self.form.keeps else "This is what comes out"
        blocks = [pages.title(says, "preview", 4), pages.facts(self.proposal.lines)]
        self.preview.show(blocks, focus="preview", near=True)

    def _sign(self) -> None:
        if self.form is None or self.proposal is None:
            return
        self.sign.disabled = True
        typed, self.password.value = self.password.value, ""
        try:
            hand = self._hand_with(typed) if self.form.signed else self._hand
            made = self.proposal.record(hand)
        except (KitError, OSError) as error:
            self._refuse(error)
            return
        finally:
            self.sign.disabled = False
        self._rest()
        self.tell(done_of(made))

    def _hand_with(self, password: str) -> Hand:
        from dataclasses import replace

        return replace(self._hand, key=self._open_key(password))

    def _refuse(self, error: Exception) -> None:
        """Say in words why nothing was recorded; everything typed stays, but the password."""
        if isinstance(error, Contradicted) and self.form is not None:
            against = {one.criterion for one in error.found}
            for field in self.form.fields:
                if field.asked_of in against:
                    self.fields[field.name].layout.display = ""
        blocks = [pages.say(f"{plain_words(error)} Nothing was recorded.", "error")]
        if isinstance(error, Changed):
            blocks.append(pages.buttons(pages.button("Look at it again", do="look again")))
        self.result.show(blocks, focus="said", near=True)


def plain_words(error: Exception) -> str:
    """Return an error as words, without a second “nothing was recorded”.

    Examples
    --------
    >>> plain_words(KitError("The disk is full. Nothing was recorded."))
    'The disk is full.'
    """
    if isinstance(error, OSError):
        return f"The disk refused: {error.strerror or error}."
    return plain(error).replace(" Nothing was recorded.", "")


def made_field(field: Field) -> Any:
    """Return the widget of one field."""
    label = {"description": field.label}
    if field.kind == "text":
        return w.Text(value=field.value, continuous_update=False, **label)
    if field.kind == "long":
        return w.Textarea(value=field.value, continuous_update=False, rows=3, **label)
    if field.kind == "date":
        return w.DatePicker(value=field.value if isinstance(field.value, date) else None, **label)
    if field.kind == "time":
        return w.TimePicker(value=field.value, step=60, **label)
    if field.kind == "big":
        options = [list(each) for each in field.options]
        return BigButtons(label=field.label, small=field.small, options=options, value=field.value)
    if field.kind == "photo":
        return Photo(label=field.label)
    if field.kind == "file":
        return Photo(label=field.label, accept=field.value, what="file")
    if field.kind == "secret":
        return w.Password(value="", continuous_update=False, **label)
    if field.kind == "pick":
        return w.Dropdown(options=list(field.options), value=field.value, **label)
    if field.kind == "one":
        return w.RadioButtons(options=list(field.options), value=field.value or None, **label)
    return w.Checkbox(value=bool(field.value), indent=False, **label)


def _laid_out(fields: Sequence[Field], made: Mapping[str, Any]) -> tuple[Any, ...]:
    """Return the fields in order; those of one group stand side by side."""
    rows: list[Any] = []
    groups: dict[str, Any] = {}
    for field in fields:
        widget = made[field.name]
        if field.kind in ("date", "time"):
            widget.add_class("d-short")
        if not field.group:
            rows.append(widget)
            continue
        if field.group not in groups:
            groups[field.group] = w.Box([])
            groups[field.group].add_class("d-lines" if field.kind == "big" else "d-points")
            rows.append(groups[field.group])
        groups[field.group].children = (*groups[field.group].children, widget)
    return tuple(rows)
