from purfle.base.trouble import Troubles
from purfle.notes.model import Shop


def check(shop: Shop, troubles: Troubles) -> None:
    """placeholder while writing"""

