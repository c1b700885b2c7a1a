"""The page that asks who works: who gets in, who does not, and what a strange request finds."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any
from urllib.parse import urlencode

import pytest
from tornado.httpclient import AsyncHTTPClient, HTTPResponse

from kit.practice import check_pin, create, everyone, find, set_pin
from kit.views.workbook.door import Door

Ask = Callable[..., Awaitable[HTTPResponse]]


def at_the_door(story: Callable[[Door, Ask], Awaitable[None]], fails: str = "") -> list[str]:
    """Run a story at an open door; return the ids of those whose workbook was begun."""
    begun = []

    async def begin(person: Any, private: str) -> str:
        assert bool(private) == person.has_pin  # who gave the PIN may write into the book
        begun.append(person.id)
        if fails:
            raise RuntimeError(fails)
        return f"http://127.0.0.1:1/doc/{person.id}"

    async def run() -> None:
        door = Door(begin, lambda _: 7.4)
        door.open()

        async def ask(path: str = "", body: dict[str, str] | None = None, **more: Any) -> HTTPResponse:
            data = {} if body is None else {"method": "POST", "body": urlencode(body)}
            asked = {"raise_error": False, "follow_redirects": False, **data, **more}
            return await AsyncHTTPClient().fetch(door.address + path, **asked)

        await story(door, ask)
        door.shut()

    with ThreadPoolExecutor(1) as apart:  # a browser test that ran before leaves a loop in this thread
        apart.submit(asyncio.run, run()).result()
    return begun


def words(answer: HTTPResponse) -> str:
    return answer.body.decode("utf-8")


@pytest.mark.slow
def test_a_tile_each_and_a_pin_where_there_is_one():
    open_one = create("Nuala <Prem>")
    shut = set_pin(create("Ida Moor"), "4711")

    async def story(door: Door, ask: Ask) -> None:
        page = words(await ask())
        assert "Nuala &lt;Prem&gt;" in page and "<Prem>" not in page
        assert f'href="enter?person={shut.id}"' in page and "asks for the PIN" in page
        went = await ask("enter", {"person": open_one.id})
        assert went.code == 303 and went.headers["Location"].endswith(f"wait?person={open_one.id}")
        wrong = await ask("enter", {"person": shut.id, "pin": "1234"})
        assert wrong.code == 200 and "That PIN is wrong." in words(wrong)
        empty = await ask("enter", {"person": shut.id})
        assert "That PIN is wrong." in words(empty)
        assert "Not Ida Moor?" in words(await ask(f"enter?person={shut.id}"))
        right = await ask("enter", {"person": shut.id, "pin": "4711"})
        assert right.code == 303
        await asyncio.sleep(0)
        led = words(await ask(f"wait?person={shut.id}"))
        assert f"url=http://127.0.0.1:1/doc/{shut.id}" in led

    assert at_the_door(story) == [open_one.id, shut.id]


@pytest.mark.slow
def test_nobody_waits_their_way_past_a_pin():
    shut = set_pin(create("Ida Moor"), "4711")

    async def story(door: Door, ask: Ask) -> None:
        went = await ask(f"wait?person={shut.id}")
        assert went.code == 302 and went.headers["Location"].endswith(f"/{door.key}/")
        unknown = await ask("enter", {"person": "../etc"})
        assert unknown.code == 400 and "Traceback" not in words(unknown)

    assert at_the_door(story) == []


@pytest.mark.slow
def test_a_new_person_gets_a_pin_unless_they_say_they_need_none():
    async def story(door: Door, ask: Ask) -> None:
        assert "Choose a PIN, or say that you need none." in words(await ask("new", {"name": "Bo Ek"}))
        short = await ask("new", {"name": "Bo Ek", "pin": "12"})
        assert short.code == 400 and "from 4 to 32" in words(short)
        assert everyone() == ()  # nobody was made by a refusal
        assert (await ask("new", {"name": "Bo Ek", "pin": "2580"})).code == 303
        assert (await ask("new", {"name": "Una Roe", "none": "yes"})).code == 303
        assert (await ask("new", {"name": "   ", "none": "yes"})).code == 400

    assert len(at_the_door(story)) == 2
    (bo,), (una,) = find("Bo Ek"), find("Una Roe")
    assert bo.has_pin and check_pin(bo, "2580") and not check_pin(bo, "2581") and not una.has_pin


@pytest.mark.slow
def test_a_name_that_is_nearly_somebodys_is_asked_about():
    person = create("Nuala Prem")

    async def story(door: Door, ask: Ask) -> None:
        asked = words(await ask("new", {"name": "Nula Prem", "pin": "2580"}))
        assert "Did you mean" in asked and f'value="{person.id}"' in asked  # no PIN: in by one click
        assert len(everyone()) == 1
        assert (await ask("new", {"name": "Nula Prem", "pin": "2580", "sure": "yes"})).code == 303

    at_the_door(story)
    assert [each.name for each in everyone()] == ["Nuala Prem", "Nula Prem"]


def test_a_start_that_fails_is_told_and_may_be_tried_again():
    person = create("Nuala Prem")

    async def story(door: Door, ask: Ask) -> None:
        for _ in range(2):
            await ask("enter", {"person": person.id})
            await asyncio.sleep(0)
            told = await ask(f"wait?person={person.id}")
            assert "the disk is full" in words(told) and "Back" in words(told)

    assert at_the_door(story, fails="the disk is full") == [person.id] * 2


@pytest.mark.parametrize(
    ("path", "headers"),
    [
        ("", {"Host": "evil.example"}),
        ("enter", {"Origin": "http://evil.example"}),
        ("new", {"Origin": "http://evil.example"}),
        ("close", {"Origin": "http://127.0.0.1:9"}),
    ],
)
def test_a_request_from_elsewhere_is_refused(path: str, headers: dict[str, str]):
    person = create("Nuala Prem")

    async def story(door: Door, ask: Ask) -> None:
        body = {"person": person.id, "name": "Evil", "none": "yes"} if path else None
        assert (await ask(path, body, headers=headers)).code == 403
        assert not door.closed.is_set()
        other = door.address.replace(door.key, "x" * len(door.key))
        assert (await AsyncHTTPClient().fetch(other, raise_error=False)).code == 404

    assert at_the_door(story) == []
    assert len(everyone()) == 1


def test_closing_ends_it():
    async def story(door: Door, ask: Ask) -> None:
        assert "Your answers are kept" in words(await ask("close", {}))
        assert door.closed.is_set()

    at_the_door(story)


def test_the_page_speaks_the_language_of_the_browser_and_the_one_that_was_picked():
    shut = set_pin(create("Ida Moor"), "4711")

    async def story(door: Door, ask: Ask) -> None:
        polish = {"Accept-Language": "pl-PL,pl;q=0.9,en;q=0.8"}
        page = words(await ask("", headers=polish))
        assert "Kim jesteś?" in page and '<html lang="pl">' in page
        assert "nie sprawdził jeszcze nikt z branży" in page and 'href="?language=en"' in page
        wrong = await ask("enter", {"person": shut.id, "pin": "1"}, headers=polish)
        assert "Ten PIN jest zły." in words(wrong)
        assert "Who are you?" in words(await ask("?language=en", headers=polish))
        assert "Who are you?" in words(await ask("", headers={"Accept-Language": "xx, *;q=0.1"}))
        kept = await ask("", headers={**polish, "Cookie": "kit_page_language=es"})
        assert "¿Quién eres?" in words(kept)

    assert at_the_door(story) == []
