"""Looking at what a compile left on the disk."""

from pathlib import Path

SITES = ("showroom", "office")


def tree(folder: Path) -> dict[str, bytes]:
    """The bytes of every file below a folder, by its path from there."""
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


def sites(shop: Path) -> dict[str, bytes]:
    """The files of both sites, by their path from the shop; nothing of the store."""
    return {f"out/{name}/{path}": data for name in SITES for path, data in tree(shop / "out" / name).items()}


def strays(shop: Path) -> list[str]:
    """What a write that was cut short or refused would leave about in `out/`: half a file, a site beside or put aside, a follower's twins."""
    return sorted(path.relative_to(shop).as_posix() for path in (shop / "out").rglob("*") if path.name.startswith((".new-", "beside", "was-", "twins")))
