"""One Jupyter server, on this computer only, for the live pages and for the notebooks."""

from __future__ import annotations

import importlib.util
import json
import os
import secrets
import signal
import sys
import tempfile
import threading
import webbrowser
from functools import partial
from pathlib import Path
from urllib.parse import quote

from .contents import heading, lessons
from .copies import PRIVATE

HERE = Path(__file__).resolve().parent
WIDGET = "application/vnd.jupyter.widget-view+json"
STOPS = [getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name)]


def serve(folder, lesson, port, browser):
    """Serve the notebooks of a folder until Ctrl-C, a signal, or File > Shut Down in the browser.

    Parameters
    ----------
    folder : Path
        The notebooks.
    lesson : str
        File name of the notebook to open first.
    port : int
        The first port to try; if it is busy, the next ones follow.
    browser : bool
        Whether to open a browser, where there is a screen.
    """
    with tempfile.TemporaryDirectory(prefix="lumpedbox-", ignore_cleanup_errors=True) as run:
        _settle(folder / PRIVATE, Path(run))
        sys.modules.setdefault("rfc3987_syntax", None)  # optional, unused here, and its import takes 3 seconds
        from jupyter_server.serverapp import ServerApp  # after _settle: it reads the environment when imported

        live = importlib.util.find_spec("voila") is not None
        server = ServerApp(config=_settings(folder, port, live))
        server.initialize(argv=[], find_extensions=False)
        server.contents_manager.register_pre_save_hook(_forget_widgets)
        for stop in STOPS:
            signal.signal(stop, lambda *_: server.stop(from_signal=True))
        page = f"{'voila/render' if live else 'doc/tree'}/{quote(lesson)}"
        address = f"http://127.0.0.1:{server.port}/{page}?token={server.identity_provider.token}"
        # the server binds its port in the first turn of its loop, and listens when the second comes
        server.io_loop.add_callback(_announce, address, live, browser, folder / PRIVATE / "server.log")
        server.start()
    print("Stopped.", flush=True)
    os._exit(0)  # not by return: a request still running leaves a thread that Python would wait for, for ever


def _announce(address, live, browser, log):
    """Say where the lessons are and open them; from then on complaints go to a file, since a reader needs none."""
    if not live:
        print("Voila is not installed, so the lessons open with their code: choose Run > Run All Cells.")
    print(f"Open {address}", "Stop with Ctrl-C.", sep="\n", flush=True)
    if browser and _has_screen():
        threading.Thread(target=webbrowser.open, args=(address,), daemon=True).start()
    with log.open("wb") as file:
        os.dup2(file.fileno(), sys.stderr.fileno())


def _settle(private, run):
    """Give Jupyter, IPython and matplotlib folders of our own: the user's settings neither apply nor change."""
    kernel = run / "kernels" / "python3" / "kernel.json"
    kernel.parent.mkdir(parents=True)
    kernel.write_text(json.dumps(_this_python(run)))
    os.environ.update(
        JUPYTER_CONFIG_DIR=str(private / "jupyter"),
        JUPYTER_DATA_DIR=str(private / "jupyter"),
        JUPYTER_RUNTIME_DIR=str(run / "runtime"),
        JUPYTER_PATH=os.pathsep.join([str(run), str(HERE / "jupyter")]),
        IPYTHONDIR=str(run / "ipython"),
        MPLCONFIGDIR=str(private / "matplotlib"),
    )


def _this_python(run):
    """Return a kernel that is the interpreter running now, whatever kernels are registered on this computer.

    What it leaves in its folder for temporary files goes when the server stops: an ended kernel cannot clear up.
    """
    # A kernel that is ended while it answers would log a traceback at the level ERROR.
    start = ["-Xfrozen_modules=off", "-m", "ipykernel_launcher", "--log-level=CRITICAL", "--ext=lumpedbox.serve.early"]
    return {
        "argv": [sys.executable, *start, "-f", "{connection_file}"],
        "display_name": "Python 3",
        "language": "python",
        # one thread: a page's matrices are small, and threads that wait for each other starve the pages beside it
        "env": dict.fromkeys(("TMPDIR", "TEMP", "TMP"), str(run)) | {"OPENBLAS_NUM_THREADS": "1"},
    }


def _settings(folder, port, live):
    from traitlets.config import Config

    it = Config()
    it.Application.log_level = "ERROR"
    it.ServerApp.update(
        ip="127.0.0.1",
        port=port,
        root_dir=str(folder),
        open_browser=False,
        allow_root=True,
        terminals_enabled=False,
        # Voila puts a text's images into its page only with a manager that is not asynchronous
        contents_manager_class="jupyter_server.services.contents.largefilemanager.LargeFileManager",
        jpserver_extensions={"jupyterlab": True, "voila.server_extension": live},
    )
    it.IdentityProvider.token = secrets.token_hex(24)
    it.KernelSpecManager.allowed_kernelspecs = {"python3"}
    it.MappingKernelManager.update(
        cull_idle_timeout=1200, cull_interval=300
    )  # for pages that closed without telling us
    it.LabApp.update(
        news_url=None,
        check_for_updates_class="jupyterlab.handlers.announcements.NeverCheckForUpdate",
        extension_manager="readonly",
        app_settings_dir=str(HERE / "jupyter" / "lab"),
    )
    it.VoilaConfiguration.update(
        template="lumpedbox",
        classic_tree=True,
        progressive_rendering=True,
        show_tracebacks=True,
        allow_template_override="NO",
        allow_theme_override="NO",
        prelaunch_hook=_prepare,
        page_config_hook=partial(_say_where, folder),
    )
    return it


def _forget_widgets(model, **_):
    """Save a notebook without its sliders: without their kernel they come back as errors."""
    if model["type"] != "notebook":
        return
    for cell in model["content"]["cells"]:
        if "outputs" in cell:
            cell["outputs"] = [output for output in cell["outputs"] if WIDGET not in output.get("data", {})]


def _prepare(handler, notebook, cwd):
    """Title a page by its first heading, and set the cookie that lets it stop its kernel on closing."""
    handler.xsrf_token  # noqa: B018 (reading it sets the cookie)
    if title := heading(notebook.cells):
        notebook.metadata.setdefault("title", title)
    return notebook


def _say_where(folder, page, notebook_path, **_):
    """Tell a page which notebook it shows, or which there are, and to use its own MathJax, not one from the network."""
    page.update(notebookPath=notebook_path, fullMathjaxUrl=None, mathjaxConfig=None)
    place = folder / notebook_path.lstrip("/")
    if place.is_dir():
        page["lessons"] = lessons(place)
    return page


def _has_screen():
    if sys.platform in ("win32", "darwin"):
        return "SSH_CONNECTION" not in os.environ
    return any(os.environ.get(name) for name in ("DISPLAY", "WAYLAND_DISPLAY", "BROWSER"))
