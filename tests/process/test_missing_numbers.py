"""Every function of the science refuses a number that is missing: tried on the call in its own example."""

import ast
import doctest
import inspect
import pkgutil
from importlib import import_module

import pytest

import kit.process
from kit.basics.errors import KitError

MODULES = [import_module(found.name) for found in pkgutil.walk_packages(kit.process.__path__, "kit.process.")]
PARSER = doctest.DocTestParser()
UNCHECKED = {
    "latent_heat": "a straight line for the inside of a solver",
    "saturation_pressure_at": "for the inside of a solver, and says so",
    "check_whole": "the bound is the author's",
    "square_root_times": "steps is a count, and Python refuses anything else",
}


def calls():
    """Yield each public function, and each number that a call in its own example gives it."""
    for module in MODULES:
        for name, function in inspect.getmembers(module, inspect.isfunction):
            if (
                name.startswith("_")
                or name in UNCHECKED
                or function.__module__ != module.__name__
                or not function.__doc__
            ):
                continue
            for example in PARSER.get_examples(function.__doc__):
                for node in ast.walk(ast.parse(example.source)):
                    if isinstance(node, ast.Call) and ast.unparse(node.func) == name:
                        yield from numbers(module, name, node)


def numbers(module, name, node):
    try:
        given = [ast.literal_eval(each) for each in node.args]
        named = {each.arg: ast.literal_eval(each.value) for each in node.keywords}
        bound = inspect.signature(getattr(module, name)).bind(*given, **named)
    except ValueError:
        return
    for key, value in bound.arguments.items():
        if isinstance(value, int | float) and not isinstance(value, bool):
            yield pytest.param(module, name, {**bound.arguments, key: float("nan")}, id=f"{name}-{key}")


CASES = list(calls())


@pytest.mark.parametrize(("module", "name", "arguments"), CASES)
def test_a_missing_number_is_refused(module, name, arguments):
    function = getattr(module, name)
    bound = inspect.signature(function).bind_partial()
    bound.arguments.update(arguments)
    with pytest.raises(KitError):
        function(*bound.args, **bound.kwargs)


def test_many_numbers_are_tried():
    assert len(CASES) > 100
