"""JupyterLab for one person: its own settings and folders, on this machine only, with one lesson in sight."""

import contextlib
import json
import os
import secrets
import shutil
import socket
import subprocess
import sys
import time
import urllib.parse
import urllib.request
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from kit.basics.errors import BadData
from kit.views.front import FOLDER, LAB

LOCAL = "127.0.0.1"
# The person's folder leaves the search path until the kernel runs: no file of theirs shadows one of ours.
ENGINE = "import sys; sys.path.pop(0); from kit.views.workbook.engine import main; main()"
SERVER = "import sys; sys.path.pop(0); from kit.views.workbook.lab import main; main()"
_START_S, _STOP_S = 60.0, 10.0
FIRST_START_S = 10.0
"""What a first start is said to take, before this machine has shown what it does take."""
IDLE_S = 2 * 3600
"""After so long without a page, a workbook that nobody watches in a terminal ends by itself."""


@dataclass
class Workbook:
    """A JupyterLab server for the lessons of one person.

    Parameters
    ----------
    lessons : Path
        The folder whose notebooks are shown; the server sees nothing above it.
    room : Path
        A folder of the person's for JupyterLab's own files. Written anew where they are ours: the installed
        package is never written to.
    port : int, optional
        A fixed port; without it, any free one.
    environment : dict
        Variables the kernels get on top of this program's own.
    """

    lessons: Path
    room: Path
    port: int | None = None
    environment: dict[str, str] = field(default_factory=dict)
    options: Sequence[str] = ()
    token: str = field(default_factory=lambda: secrets.token_urlsafe(24))
    _process: subprocess.Popen[bytes] | None = field(default=None, init=False)

    @property
    def base(self) -> str:
        """The address of the server, without the token."""
        return f"http://{LOCAL}:{self.port}"

    @property
    def log(self) -> Path:
        """What the server says, for whoever has to find a fault."""
        return self.room / "server.log"

    def address(self, notebook: str, task: str = "") -> str:
        """Return the address that opens a notebook as a plain page, at a task of it if one is named."""
        place = f"#{task}" if task else ""
        return f"{self.base}/doc/tree/{urllib.parse.quote(notebook)}?token={self.token}{place}"

    def reserved(self, notebook: str, task: str = "") -> str:
        """Choose the port before the start, and return the address that a notebook will have."""
        self.port = free_port(self.port)
        return self.address(notebook, task)

    def start(self) -> None:
        """Start the server and return once it answers.

        Raises
        ------
        BadData
            If the port is taken, or the server ends or stays silent for a minute.
        """
        begun = time.monotonic()
        self.port = free_port(self.port)
        self.furnish()
        with self.log.open("wb") as log:
            self._process = subprocess.Popen(
                self.command(),
                env=self.variables() | {"JUPYTER_TOKEN": self.token},
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=subprocess.STDOUT,
                creationflags=_creation_flags(),
                start_new_session=True,  # Ctrl-C is ours to handle: JupyterLab would ask a question
            )
        self._wait_until_up()
        with contextlib.suppress(OSError):
            self._last_start.write_text(f"{time.monotonic() - begun:.1f}", encoding="utf-8")

    @property
    def expected_s(self) -> float:
        """About how long the start takes: what it took the last time. [s]"""
        try:
            return min(max(float(self._last_start.read_text(encoding="utf-8")), 1.0), _START_S)
        except (OSError, ValueError):
            return FIRST_START_S

    @property
    def running(self) -> bool:
        """Whether the server was started and has not ended."""
        return self._process is not None and self._process.poll() is None

    @property
    def pid(self) -> int:
        """The number of the server's process; 0 before it was started."""
        return self._process.pid if self._process is not None else 0

    @property
    def _last_start(self) -> Path:
        return self.room / "last_start_s.txt"

    def warm(self, notebook: str) -> None:
        """Start the kernel of a notebook now, while the browser loads; the page finds it running.

        A kernel that will not start is the page's to report, so nothing is raised here.
        """
        asked = {"path": notebook, "name": notebook, "type": "notebook", "kernel": {"name": "python3"}}
        request = urllib.request.Request(
            f"{self.base}/api/sessions",
            data=json.dumps(asked).encode(),
            headers={"Authorization": f"token {self.token}", "Content-Type": "application/json"},
        )
        with contextlib.suppress(OSError):
            urllib.request.urlopen(request, timeout=30).read()

    def command(self) -> list[str]:
        """Return the command that starts JupyterLab. The token travels in the environment, not here."""
        command = [sys.executable, "-c", SERVER, "--no-browser"]
        if hasattr(os, "geteuid") and os.geteuid() == 0:
            command.append("--allow-root")
        return [
            *command,
            f"--ServerApp.ip={LOCAL}",
            f"--ServerApp.port={self.port}",
            "--ServerApp.port_retries=0",
            *self.arguments(),
        ]

    def arguments(self) -> list[str]:
        """Return how the page is set up, wherever the server listens."""
        return [
            f"--ServerApp.root_dir={self.lessons}",
            "--LabApp.custom_css=True",
            f"--LabApp.app_settings_dir={self.room / 'settings'}",
            f"--LabApp.user_settings_dir={self.room / 'user-settings'}",
            f"--LabApp.workspaces_dir={self.room / 'workspaces'}",
            f"--LabApp.extra_labextensions_path={self.room / 'labextensions'}",
            "--LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate",
            *self.options,
        ]

    def wait(self) -> None:
        """Wait until the server ends by itself. In short waits: on Windows, Ctrl-C is only heard between."""
        while self._process is not None and self._process.poll() is None:
            with contextlib.suppress(subprocess.TimeoutExpired):
                self._process.wait(0.5)

    def stop(self) -> None:
        """Ask the server to end, with its kernels; insist if it does not."""
        process = self._process
        if process is None or process.poll() is not None:
            return
        request = urllib.request.Request(
            f"{self.base}/api/shutdown", method="POST", headers={"Authorization": f"token {self.token}"}
        )
        try:
            urllib.request.urlopen(request, timeout=5).read()
            process.wait(_STOP_S)
        except (OSError, subprocess.TimeoutExpired):
            process.terminate()
            try:
                process.wait(_STOP_S)
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait()

    def furnish(self) -> None:
        """Write JupyterLab's own files into the room, and trust the lessons."""
        self.room.mkdir(parents=True, exist_ok=True)
        for part in ("config", "settings", "labextensions"):
            target = self.room / part
            if target.exists():
                shutil.rmtree(target)
            shutil.copytree(LAB / part, target)
        style = self.room / "config" / "custom" / "custom.css"
        tokens = (FOLDER / "tokens.css").read_text(encoding="utf-8")
        style.write_text(tokens + style.read_text(encoding="utf-8"), encoding="utf-8")
        kernel = self.room / "data" / "kernels" / "python3"
        kernel.mkdir(parents=True, exist_ok=True)
        argv = [sys.executable, "-c", ENGINE, "-f", "{connection_file}"]
        spec = {"argv": argv, "display_name": "Python", "language": "python"}
        (kernel / "kernel.json").write_text(json.dumps(spec), encoding="utf-8")
        self._trust()

    def _trust(self) -> None:
        """Sign the lessons as trusted: they came with the kit, and the person's own edits are their own."""
        import nbformat
        from nbformat.sign import NotebookNotary

        notary = NotebookNotary(data_dir=str(self.room / "data"))
        try:
            for path in sorted(self.lessons.glob("*.ipynb")):
                try:
                    notary.sign(nbformat.read(path, as_version=4))
                except (ValueError, KeyError, nbformat.ValidationError):
                    continue  # a damaged notebook opens untrusted; JupyterLab then says what is wrong with it
        finally:
            notary.store.close()

    def variables(self) -> dict[str, str]:
        """Return the environment of the server, without its token."""
        return {
            **os.environ,
            "JUPYTER_PATH": str(self.room / "data"),  # our kernel before any other of its name
            "JUPYTER_CONFIG_DIR": str(self.room / "config"),
            "JUPYTER_DATA_DIR": str(self.room / "data"),
            "JUPYTER_RUNTIME_DIR": str(self.room / "runtime"),
            "IPYTHONDIR": str(self.room / "ipython"),
            **self.environment,
        }

    def _wait_until_up(self) -> None:
        end = time.monotonic() + _START_S
        request = urllib.request.Request(
            f"{self.base}/api/status", headers={"Authorization": f"token {self.token}"}
        )
        while self._process is not None and self._process.poll() is None and time.monotonic() < end:
            try:
                urllib.request.urlopen(request, timeout=5).read()
                return
            except OSError:
                time.sleep(0.05)
        self.stop()
        raise BadData("JupyterLab", f"it did not start; see {self.log}", "a running server")


def _creation_flags() -> int:
    if sys.platform == "win32":
        return subprocess.CREATE_NEW_PROCESS_GROUP
    return 0


def free_port(wanted: int | None = None) -> int:
    """Return ``wanted`` if it is free on this machine, or any free port if none is wanted.

    Raises
    ------
    BadData
        If the port is taken.
    """
    with socket.socket() as probe:
        if sys.platform != "win32":
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((LOCAL, wanted or 0))
        except OSError:
            raise BadData(
                f"port {wanted}", "it is taken by another program", "a free port", "Leave out --port."
            ) from None
        port: int = probe.getsockname()[1]
        return port
