"""The table of ratios: how fast and how lean purfle is, each beside something to compare it with, measured in the same run.

    python benchmarks/run.py [--quick] [--rounds N] [--json FILE]

Shops are generated (`big_shop.py`, its seed printed). Times are processor seconds of child processes, so that other work on the machine counts
little, or wall seconds where it says so: what a person waits, for `follow` and for commands that share their work with a second process. Medians of
the rounds, pairs taken in turn. Prints, and writes JSON; asserts nothing.
"""

import argparse
import json
import os
import platform
import re
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import big_shop

HERE = Path(__file__).parent
PURFLE = [sys.executable, "-m", "purfle.shell"]
DAY = big_shop.TODAY.isoformat()


def child(command: list[str], cwd: Path | None = None) -> tuple[float, float]:
    """Processor seconds and greatest memory in MB of one child process."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    process = subprocess.Popen(command, cwd=cwd, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode != 0:
        raise SystemExit(f"{' '.join(command)} ended with {process.returncode}")
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime, used.ru_maxrss / 1024


def purfle(shop: Path, *words: str) -> tuple[float, float]:
    """One command on a shop."""
    return child(_command(shop, *words))


def _command(shop: Path, *words: str) -> list[str]:
    return [*PURFLE, *words, "--shop", str(shop), "--today", DAY]


def waited(command: list[str], cwd: Path | None = None) -> float:
    """Wall seconds of one child process."""
    began = time.perf_counter()
    child(command, cwd)
    return time.perf_counter() - began


def warm(shop: Path, *words: str) -> float:
    """Wall seconds of a command whose answer is known."""
    return waited(_command(shop, *words))


def cold(shop: Path) -> tuple[float, float]:
    """One compile with nothing under `out/`."""
    shutil.rmtree(shop / "out", ignore_errors=True)
    return purfle(shop, "compile", "--quiet")


def bare(shop: Path) -> dict[str, float]:
    """What the libraries alone take."""
    done = subprocess.run([sys.executable, str(HERE / "bare.py"), str(shop)], capture_output=True, text=True, check=True)
    return json.loads(done.stdout)  # type: ignore[no-any-return]


def in_turn(rounds: int, ours: Callable[[], float], beside: Callable[[], float]) -> tuple[float, float]:
    """The median of two figures, measured in turn."""
    took = [(ours(), beside()) for _ in range(rounds)]
    return statistics.median(one for one, _ in took), statistics.median(other for _, other in took)


def followed(shop: Path, rounds: int) -> tuple[float, float, float]:
    """Wall seconds of the first compile under `follow`; the medians from a note saved to its page on disk, of other words and of other hours.

    Words come to the build's public page, hours to its private one: with them books, plan and line-up are made again.
    """
    note = next(path for path in sorted((shop / "builds").glob("*/20*.md")) if b"\nhours: " in path.read_bytes())
    public, private = (shop / "out" / site / "builds" / f"{note.parent.name}.html" for site in ("showroom", "office"))
    shutil.rmtree(shop / "out", ignore_errors=True)
    began = time.perf_counter()
    process = subprocess.Popen(
        [*PURFLE, "follow", "--shop", str(shop), "--today", DAY, "--office-port", "0", "--showroom-port", "0"], stdout=subprocess.PIPE, text=True
    )
    assert process.stdout is not None
    text = note.read_text("utf-8")
    try:
        while "changed" not in process.stdout.readline():
            pass
        first = time.perf_counter() - began
        other_words = [_until_other(public, note, f"{text}\nMark {n} is on it.\n") for n in range(rounds + 2)]
        other_hours = [_until_other(private, note, re.sub(r"\nhours: .*", f"\nhours: {n + 1}.25", text)) for n in range(rounds + 2)]
        return first, statistics.median(other_words[2:]), statistics.median(other_hours[2:])
    finally:
        process.terminate()
        process.wait(20)
        note.write_text(text, "utf-8")


def _until_other(page: Path, note: Path, text: str) -> float:
    """Wall seconds from a note saved until its page is another than it was."""
    time.sleep(2)
    before = page.read_bytes()
    saved = time.perf_counter()
    note.write_text(text, "utf-8")
    while (page.read_bytes() if page.exists() else before) == before:
        time.sleep(0.002)
    return time.perf_counter() - saved


def photos(rounds: int, folder: Path) -> dict[str, float]:
    """Publishing photographs, against Pillow's own loop doing the same work in two threads."""
    big_shop.write(folder, 2, photos=2)
    names = []
    for n in range(6):
        names.append(f"builds/b0000/photos/{n}.jpg")
        big_shop.photo(folder / names[-1], n)
    ours, loop = in_turn(rounds, lambda: _publish(folder, names, fresh=True), lambda: _pillow([folder / name for name in names]))
    store = folder / "store"
    before = {path: path.stat().st_mtime_ns for path in store.rglob("*.webp")}
    warm = _publish(folder, names, fresh=False)
    again = {path: path.stat().st_mtime_ns for path in store.rglob("*.webp")}
    return {"ours": ours, "loop": loop, "warm": warm, "encoded_when_warm": sum(again.get(path) != stamp for path, stamp in before.items())}


def _publish(folder: Path, names: list[str], fresh: bool) -> float:
    from purfle.shell.photos import publish

    if fresh:
        shutil.rmtree(folder / "store", ignore_errors=True)
    (folder / "store").mkdir(exist_ok=True)
    began = time.perf_counter()
    publish(names, folder, folder / "store")
    return time.perf_counter() - began


def _pillow(paths: list[Path]) -> float:
    from concurrent.futures import ThreadPoolExecutor

    began = time.perf_counter()
    with ThreadPoolExecutor(2) as pool:
        list(pool.map(_one_photo, paths))
    return time.perf_counter() - began


def _one_photo(path: Path) -> None:
    import io

    from PIL import Image, ImageOps

    from purfle.shell.pixels import FALLBACK_WIDTH, JPEG_QUALITY, WEBP_QUALITY, WIDTHS

    with Image.open(path) as image:
        image.draft("RGB", (WIDTHS[-1], WIDTHS[-1] * image.height // image.width))
        at = ImageOps.exif_transpose(image).convert("RGB")
    sizes = [(width, at.height * width // at.width) for width in sorted((*WIDTHS, FALLBACK_WIDTH), reverse=True)]
    for size in sizes:
        at = at.resize(size, Image.Resampling.LANCZOS, reducing_gap=3.0)
        if size[0] == FALLBACK_WIDTH:
            at.save(io.BytesIO(), "JPEG", quality=JPEG_QUALITY, optimize=True, progressive=True)
        else:
            at.save(io.BytesIO(), "WEBP", quality=WEBP_QUALITY, method=4)


def settle() -> None:
    """Wait until the shop's last change is old enough for answers to be kept."""
    time.sleep(2.2)


def measured(builds: int, small: int, rounds: int, folder: Path) -> list[dict[str, Any]]:
    """Every row: figure, value, what it is beside, ratio, aim."""
    rows: list[dict[str, Any]] = []

    def row(figure: str, value: float, beside: float, aim: str, ratio: float | None = None, **more: float) -> None:
        rows.append(
            {
                "figure": figure,
                "value": round(value, 4),
                "beside": round(beside, 4),
                "ratio": round(value / beside if ratio is None else ratio, 4),
                "aim": aim,
                **{k: round(v, 4) for k, v in more.items()},
            }
        )
        print(f"{figure:58} {rows[-1]['value']:>10} {rows[-1]['beside']:>10} {rows[-1]['ratio']:>9}  {aim}  {more or ''}", flush=True)

    big, little = folder / f"shop-{builds}", folder / f"shop-{small}"
    for shop, size in ((big, builds), (little, small)):
        shop.mkdir()
        print(f"{big_shop.write(shop, size)} notes on {size} builds", flush=True)
    memory, parts = [], []

    def cold_big() -> float:
        seconds, most = cold(big)
        memory.append(most)
        return seconds

    def bare_big() -> float:
        parts.append(bare(big))
        return sum(parts[-1].values())

    ours, libraries = in_turn(rounds, cold_big, bare_big)
    row("cold compile ÷ bare libraries (s)", ours, libraries, "≤ 1.2", **{k: statistics.median(p[k] for p in parts) for k in parts[0]})
    (big / ".gitignore").write_text("out/\n")
    for word in (["init", "-q"], ["add", "-A"], ["-c", "user.name=x", "-c", "user.email=x@example.org", "commit", "-qm", "notes"]):
        child(["git", *word], big)
    settle()
    purfle(big, "compile")
    row("nothing changed ÷ git status (wall s)", *in_turn(max(5, rounds), partial(warm, big, "compile"), lambda: waited(["git", "status"], big)), "≤ 3")
    for words in (["week"], ["year"], ["sheet", "b0001"]):
        for shop in (big, little):
            purfle(shop, *words)
            row(
                f"{words[0]}, warm, {shop.name} ÷ empty python (wall s)",
                *in_turn(max(7, rounds), partial(warm, shop, *words), lambda: waited([sys.executable, "-c", "pass"])),
                "≤ 8",
            )
    row("memory, cold compile of the large shop (MB)", statistics.median(memory), 600, "≤ 1 of 600 MB")
    smaller = statistics.median(cold(little)[0] for _ in range(rounds))
    row(f"growth: cold {builds} ÷ cold {small} (s)", ours, smaller, f"{builds / small:g} within 15 %", per_build=(ours / builds) / (smaller / small))
    for shop in (little, big):
        first, worded, hours = followed(shop, max(5, rounds))
        row(f"words saved to page, follow, {shop.name} ÷ cold (wall s)", worded, first, "≤ 0.01; 0.150 s on the small shop")
        row(f"hours saved to page, follow, {shop.name} ÷ cold (wall s)", hours, first, "none; books, plan and line-up are made again")
    pictures = photos(rounds, folder / "photos")
    row(
        "photos ÷ Pillow's own loop on two threads (wall s)",
        pictures["ours"],
        pictures["loop"],
        "≤ 1.1",
        warm=pictures["warm"],
        encoded_when_warm=pictures["encoded_when_warm"],
    )
    return rows


def main() -> None:
    """Measure, print, write."""
    words = argparse.ArgumentParser()
    words.add_argument("--quick", action="store_true", help="100 builds and 10 in place of 1,000 and 100")
    words.add_argument("--rounds", type=int, default=3)
    words.add_argument("--json", type=Path, default=Path("benchmarks.json"))
    asked = words.parse_args()
    builds, small = (100, 10) if asked.quick else (1000, 100)
    print(f"seed {big_shop.SEED}; {os.cpu_count()} cores; load {os.getloadavg()[0]:.1f}; Python {platform.python_version()}")
    with tempfile.TemporaryDirectory() as name:
        # As installed: modules are read as compiled once, wherever the tree may be written to.
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
        os.environ["PYTHONPYCACHEPREFIX"] = f"{name}/compiled"
        rows = measured(builds, small, asked.rounds, Path(name))
    asked.json.write_text(
        json.dumps({"seed": big_shop.SEED, "builds": builds, "small": small, "rounds": asked.rounds, "rows": rows}, indent=2, ensure_ascii=False) + "\n",
        "utf-8",
    )


if __name__ == "__main__":
    main()
