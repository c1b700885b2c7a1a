"""Serving the page that asks who works, and the workbook of whoever enters, until somebody closes it."""

from __future__ import annotations

import asyncio
import contextlib
import signal
from pathlib import Path

import click

from kit.basics import places
from kit.cli import to_browser
from kit.cli.apprentice.workbooks import where_on, workbook_of
from kit.practice import Learner, prepare
from kit.views.workbook.door import Door
from kit.views.workbook.server import IDLE_S, Workbook

_LOOK_S = 5.0
_LEFT_ALONE = [
    f"--ServerApp.shutdown_no_activity_timeout={IDLE_S}",
    f"--MappingKernelManager.cull_idle_timeout={IDLE_S}",
    "--MappingKernelManager.cull_interval=300",
]


def serve(port: int | None, *, browser: bool) -> None:
    """Serve until the page is closed, Ctrl-C, or two hours in which nobody works."""
    room = places.home() / "door"
    workbooks: dict[str, Workbook] = {}
    try:
        asyncio.run(_serve(port, room, workbooks, browser))
    except KeyboardInterrupt:
        click.echo("\nClosing the workbook …")
    finally:
        to_browser.forget(room)
        for each in workbooks.values():
            each.stop()


async def _serve(port: int | None, room: Path, workbooks: dict[str, Workbook], browser: bool) -> None:
    async def begin(person: Learner, private: str) -> str:
        return await asyncio.to_thread(_begin, person, private, door.address, workbooks)

    door = Door(begin, lambda person: workbook_of(person, person.lessons).expected_s, port)
    door.open()
    with contextlib.suppress(NotImplementedError):  # on Windows the terminal's own signal ends it
        asyncio.get_running_loop().add_signal_handler(signal.SIGTERM, door.closed.set)
    click.echo(f"Who works: {door.address}")
    click.echo("Ctrl-C here ends it, or “Close the workbook” on the page.")
    if browser and not to_browser.show(door.address, room):
        click.echo("No browser could be opened. Copy the address above into one on this machine.")
    await _until_left(door, workbooks)
    door.shut()


async def _until_left(door: Door, workbooks: dict[str, Workbook]) -> None:
    """Return once the page was closed, every workbook ended by itself, or nobody ever entered."""
    loop = asyncio.get_running_loop()
    since = loop.time()
    while not door.closed.is_set():
        with contextlib.suppress(TimeoutError):
            await asyncio.wait_for(door.closed.wait(), _LOOK_S)
        starting = any(not task.done() for task in door.begun.values())
        if starting or any(each.running for each in workbooks.values()):
            since = loop.time()
        elif loop.time() - since > (IDLE_S if not workbooks else _LOOK_S):
            return
    await asyncio.sleep(0.3)  # the last page is still on its way


def _begin(person: Learner, private: str, door: str, workbooks: dict[str, Workbook]) -> str:
    """Start the workbook of a person, end that of whoever worked before, and return its address."""
    prepared = prepare(person)
    notebook, task = where_on(person, prepared.folder)
    workbook = workbooks.get(person.id)
    if workbook is None or not workbook.running:
        workbook = workbook_of(person, prepared.folder, door=door, private=private)
        workbook.options = _LEFT_ALONE
        workbook.start()
        workbook.warm(notebook)
    for other in [each for each in workbooks if each != person.id]:
        workbooks.pop(other).stop()
    workbooks[person.id] = workbook
    return workbook.address(notebook, task)
