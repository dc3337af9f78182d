"""The contrast of two colours as WCAG 2.2 has it: relative luminance, and the ratio of 1.4.3 (4.5 : 1 for text) and 1.4.11 (3 : 1 for parts of drawings)."""


def luminance(colour: str) -> float:
    """Of a colour such as `#fff` or `#1a2b3c`, the # left out or not."""
    digits = colour.lstrip("#")
    full = digits if len(digits) == 6 else "".join(digit * 2 for digit in digits)
    parts = [int(full[at : at + 2], 16) / 255 for at in (0, 2, 4)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """From 1 for the same colour to 21 for black and white."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)
