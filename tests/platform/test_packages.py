"""What pip is told counts for uv too; what uv can't be told or can't do, pip does itself."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from me_office import packages

ROOT = Path(__file__).resolve().parents[2]


class Programs:
    """Notes what was started instead of starting it; `failing` names what ends with status 1."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, *failing: str, listed: str = "") -> None:
        self.asked: list[list[str]] = []
        self.failing, self.listed = failing, listed
        self.told: dict[str, str] = {}
        self.lines = ""
        monkeypatch.setattr(packages.subprocess, "run", self)

    def __call__(self, command, *, check, stdout=None, text=True, input="", env=None):
        words = [str(word) for word in command]
        uv = words[0].endswith("/uv")
        self.asked.append(words[1:] if uv else words[3:])
        if uv:
            self.lines, self.told = input, env
        name = "uv" if uv else " ".join(words[3:5])
        status = int(name in self.failing or words[-1] in self.failing)
        if check and status:
            raise subprocess.CalledProcessError(status, words)
        said = self.listed if words[3:5] == ["config", "list"] else ""
        return subprocess.CompletedProcess(words, status, stdout=said)

    def by_pip(self) -> list[str]:
        return [words[-1] for words in self.asked if words[0] == "install"]


UV = packages.pinned_uv((ROOT / "requirements.txt").read_text())
EVERYTHING = str(ROOT / "requirements.txt")


def test_pip_fetches_the_pinned_uv_which_installs_everything(monkeypatch):
    programs = Programs(monkeypatch)
    assert packages.main() == 0
    assert programs.by_pip() == [UV]
    assert programs.lines == f"-r {EVERYTHING}\n"
    # Into this environment, by this Python, of all indexes, and by no settings but those handed on.
    assert programs.asked[-1] == [
        "pip", "install", "--quiet", "--no-config", "--index-strategy", "unsafe-best-match",
        "--python", sys.executable, "-r", "-",
    ]  # fmt: skip
    assert programs.told["UV_PYTHON_DOWNLOADS"] == "never"


ONE, TWO = "https://one.invalid/s", "https://two.invalid/s"


@pytest.mark.parametrize(
    ("listed", "lines", "told"),
    [
        ([("global", "index-url", ONE)], [("index-url", ONE)], {}),
        (
            [("global", "extra-index-url", f"{ONE}\n{TWO}")],
            [("extra-index-url", ONE), ("extra-index-url", TWO)],
            {},
        ),
        ([(":env:", "find-links", "/wheels")], [("find-links", "/wheels")], {}),
        ([("install", "constraint", "/limits.txt")], [("constraint", "/limits.txt")], {}),
        # The environment before the section `install`, that before `global`.
        (
            [
                ("global", "index-url", "a"),
                (":env:", "index-url", "c"),
                ("install", "index-url", "b"),
            ],
            [("index-url", "c")],
            {},
        ),
        ([("global", "cert", "/ca.pem")], [], {"SSL_CERT_FILE": "/ca.pem"}),
        ([("global", "proxy", "p:1")], [], {"HTTP_PROXY": "p:1", "HTTPS_PROXY": "p:1"}),
        ([(":env:", "default-timeout", "180")], [], {"UV_HTTP_TIMEOUT": "180"}),
        ([("global", "timeout", "9")], [], {"UV_HTTP_TIMEOUT": "9"}),
        ([("global", "retries", "7")], [], {"UV_HTTP_RETRIES": "7"}),
        ([("global", "trusted-host", "a b")], [], {"UV_INSECURE_HOST": "a b"}),
        ([("global", "quiet", "1"), ("download", "no-binary", ":all:")], [], {}),
    ],
)
def test_uv_is_told_where_pip_looks(monkeypatch, listed, lines, told):
    as_pip_lists = "\n".join(f"{section}.{name}={value!r}" for section, name, value in listed)
    programs = Programs(monkeypatch, listed=as_pip_lists)
    assert packages.main() == 0
    assert programs.by_pip() == [UV]
    asked = [f"--{name} {value}" for name, value in lines]
    assert programs.lines == "\n".join([*asked, f"-r {EVERYTHING}", ""])
    assert {name: programs.told[name] for name in told} == told
    assert {*programs.told} - {*os.environ} <= {*told, "UV_PYTHON_DOWNLOADS"}


@pytest.mark.parametrize(
    ("listed", "said"),
    [
        ("global.no-index='true'", "no-index"),
        (":env:.only-binary=':all:'", "only-binary"),
        ("install.user='true'", "user"),
        ("global.keyring-provider='subprocess'", "keyring-provider"),
        ("something else", "can't be read"),
    ],
)
def test_a_setting_that_uv_is_not_told_leaves_everything_to_pip(monkeypatch, capsys, listed, said):
    programs = Programs(monkeypatch, listed=listed)
    assert packages.main() == 0
    assert programs.by_pip() == [EVERYTHING]
    assert said in capsys.readouterr().out


def test_no_value_of_a_setting_is_printed(monkeypatch, capsys):
    Programs(monkeypatch, listed="global.client-cert='/secret.pem'")
    packages.main()
    printed = capsys.readouterr().out
    assert "client-cert" in printed and "secret" not in printed


@pytest.mark.parametrize("failing", ["uv", UV, "config list"])
def test_pip_installs_everything_where_uv_does_not(monkeypatch, failing):
    programs = Programs(monkeypatch, failing)
    assert packages.main() == 0
    assert programs.by_pip()[-1] == EVERYTHING


def test_a_pip_that_fails_too_fails_the_set_up(monkeypatch):
    Programs(monkeypatch, "uv", EVERYTHING)
    assert packages.main() == 1


@pytest.mark.usefixtures("processes")
def test_the_settings_are_read_as_pip_itself_lists_them(monkeypatch, tmp_path):
    own = tmp_path / "pip.conf"
    own.write_text("[global]\ntimeout = 7\n[install]\nfind-links =\n  a\n  b's\n")
    for name in [name for name in os.environ if name.startswith("PIP_")]:
        monkeypatch.delenv(name)
    monkeypatch.setenv("PIP_CONFIG_FILE", str(own))
    monkeypatch.setenv("PIP_RETRIES", "3")
    settings = packages.settings_of(packages._pip("config", "list", said=True))
    assert (settings["timeout"], settings["retries"]) == ("7", "3")
    assert settings["find-links"].split() == ["a", "b's"]
    lines, _ = packages.for_uv(settings)
    assert lines[-2:] == ["--find-links a", "--find-links b's"]


@pytest.mark.usefixtures("processes")
def test_the_script_needs_no_package():
    command = [sys.executable, "-I", "-S", str(ROOT / "me_office" / "packages.py")]
    probe = "import runpy, sys; runpy.run_path(sys.argv[1], run_name='probe')"
    done = subprocess.run([*command[:3], "-c", probe, command[-1]], capture_output=True, text=True)
    assert (done.returncode, done.stderr) == (0, "")
