"""The side of the apprentice: people on this machine, work folder, attempts, progress."""

from kit.practice.lesson_session import DOOR_VARIABLE, NOBODY, PERSON_VARIABLE, Session, session, start
from kit.practice.people import Learner, create, everyone, find, get, set_profile
from kit.practice.pins import check_pin, set_pin
from kit.practice.progress import Progress
from kit.practice.task_state import TaskState
from kit.practice.work_folder import Prepared, prepare

__all__ = [
    "DOOR_VARIABLE",
    "NOBODY",
    "PERSON_VARIABLE",
    "Learner",
    "Prepared",
    "Progress",
    "Session",
    "TaskState",
    "check_pin",
    "create",
    "everyone",
    "find",
    "get",
    "prepare",
    "session",
    "set_pin",
    "set_profile",
    "start",
]
