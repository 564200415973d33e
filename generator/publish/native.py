"""The shared libraries that PDF rendering needs: which of them do not load here, and what would install them.

Standard library only, and nothing of this package is imported: the build script asks before anything is
installed, the application asks before it imports WeasyPrint. ``python -m generator.publish.native`` prints
the missing ones, one a line.
"""

from __future__ import annotations

import ctypes
import ctypes.util
import os
import platform
import shutil
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class Library:
    """One shared library: its plain name, its file names, and whether rendering fails without it."""

    name: str
    files: tuple[str, ...]
    needed: bool = True


# The names are those that WeasyPrint 70 tries itself (weasyprint/text/ffi.py).
LIBRARIES = (
    Library("gobject-2.0", ("libgobject-2.0-0", "libgobject-2.0.so.0", "libgobject-2.0.0.dylib")),
    Library("pango-1.0", ("libpango-1.0-0", "libpango-1.0.so.0", "libpango-1.0.dylib")),
    Library("harfbuzz", ("libharfbuzz-0", "libharfbuzz.so.0", "libharfbuzz.0.dylib")),
    Library("fontconfig", ("libfontconfig-1", "libfontconfig.so.1", "libfontconfig.1.dylib")),
    Library("pangoft2-1.0", ("libpangoft2-1.0-0", "libpangoft2-1.0.so.0", "libpangoft2-1.0.dylib")),
    # Without this one fonts are cut down in another way, slower and to other bytes.
    Library(
        "harfbuzz-subset",
        ("libharfbuzz-subset-0", "libharfbuzz-subset.so.0", "libharfbuzz-subset.0.dylib"),
        needed=False,
    ),
)


@dataclass(frozen=True)
class Installer:
    """How one family of systems installs: the command's words, and the packages of each purpose."""

    command: tuple[str, ...]
    packages: Mapping[str, tuple[str, ...]]
    as_root: bool = True


# Every system package this project needs, by family and purpose; {python} is the interpreter (python3.11).
SYSTEM_PACKAGES: Mapping[str, Installer] = {
    "debian": Installer(
        ("apt-get", "install", "-y"),
        {"pdf": ("libpango-1.0-0", "libpangoft2-1.0-0", "libharfbuzz-subset0"), "venv": ("{python}-venv",)},
    ),
    "fedora": Installer(("dnf", "install", "-y"), {"pdf": ("pango",), "venv": ("python3",)}),
    "suse": Installer(
        ("zypper", "install", "-y"),
        {"pdf": ("libpango-1_0-0", "libharfbuzz-subset0"), "venv": ("{python}",)},
    ),
    "arch": Installer(("pacman", "-S", "--noconfirm"), {"pdf": ("pango",), "venv": ("python",)}),
    "alpine": Installer(
        ("apk", "add"),
        {
            "pdf": ("so:libpango-1.0.so.0", "so:libpangoft2-1.0.so.0", "so:libharfbuzz-subset.so.0"),
            "venv": ("python3",),
        },
    ),
    "macos": Installer(("brew", "install"), {"pdf": ("pango",), "venv": ("python3",)}, as_root=False),
}

# /etc/os-release names the distribution (ID) and its parents (ID_LIKE); a few parents go by a second name.
FAMILY_OF = {"ubuntu": "debian", "rhel": "fedora", "centos": "fedora", "opensuse": "suse"}

# Homebrew on Apple silicon keeps its libraries where the loader does not look by itself.
HOMEBREW_LIBRARIES = Path("/opt/homebrew/lib")
LOADER_PATH = "DYLD_FALLBACK_LIBRARY_PATH"
LOADER_DEFAULT = ("/usr/local/lib", "/usr/lib")


@dataclass(frozen=True)
class Platform:
    """What decides the install command: key of SYSTEM_PACKAGES ('' if unknown), user, interpreter."""

    family: str
    root: bool = False
    sudo: bool = True
    python: str = "python3"
    apple_silicon: bool = False


def family_of(system: str, os_release: Mapping[str, str]) -> str:
    """The key of SYSTEM_PACKAGES for a system (platform.system()) and its os-release fields, or ''."""
    if system == "Darwin":
        return "macos"
    names = [os_release.get("ID", ""), *os_release.get("ID_LIKE", "").split()]
    for name in names:
        family = FAMILY_OF.get(name, name)
        if family in SYSTEM_PACKAGES:
            return family
    return ""


def this_platform() -> Platform:
    """The platform this process runs on."""
    try:
        os_release = platform.freedesktop_os_release()
    except OSError:
        os_release = {}
    system = platform.system()
    return Platform(
        family=family_of(system, os_release),
        root=hasattr(os, "geteuid") and os.geteuid() == 0,
        sudo=shutil.which("sudo") is not None,
        python=f"python{sys.version_info.major}.{sys.version_info.minor}",
        apple_silicon=system == "Darwin" and platform.machine() == "arm64",
    )


def packages(where: Platform, purpose: str = "pdf") -> tuple[str, ...]:
    """System packages of that purpose ('pdf' or 'venv') for the platform; none where it is not known."""
    installer = SYSTEM_PACKAGES.get(where.family)
    if installer is None:
        return ()
    return tuple(name.format(python=where.python) for name in installer.packages[purpose])


def install_command(where: Platform, purpose: str = "pdf") -> str | None:
    """The command a person would type to install what that purpose needs, or None where it is not known."""
    installer = SYSTEM_PACKAGES.get(where.family)
    if installer is None:
        return None
    words = " ".join((*installer.command, *packages(where, purpose)))
    if where.root or not installer.as_root:
        return words
    return f"sudo {words}" if where.sudo else f"su -c '{words}'"


def loader_environment(
    where: Platform, environment: Mapping[str, str], folder: Path = HOMEBREW_LIBRARIES
) -> dict[str, str]:
    """The environment in which a child process finds the libraries: on Apple silicon, Homebrew's too."""
    child = dict(environment)
    if where.apple_silicon and folder.is_dir():
        given = [part for part in child.get(LOADER_PATH, "").split(":") if part]
        if str(folder) not in given:
            child[LOADER_PATH] = ":".join([*(given or LOADER_DEFAULT), str(folder)])
    return child


def missing_libraries(also_wanted: bool = False) -> list[str]:
    """Names of the libraries that do not load in this process; `also_wanted` counts the dispensable one."""
    return [lib.name for lib in LIBRARIES if (lib.needed or also_wanted) and not _loads(lib)]


def _loads(library: Library) -> bool:
    found = (ctypes.util.find_library(name) for name in (library.name, *library.files[:1]))
    return any(_opens(name) for name in library.files) or any(path and _opens(path) for path in found)


def _opens(file: str) -> bool:
    try:
        ctypes.CDLL(file)
    except OSError:
        return False
    return True


if __name__ == "__main__":
    sys.stdout.write("".join(f"{name}\n" for name in missing_libraries(also_wanted=True)))
