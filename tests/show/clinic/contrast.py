"""How well a colour stands out from another, as the standard of the web measures it."""

import numpy as np

# WCAG 2.2, success criterion 1.4.3 (contrast, minimum): 4.5 to 1, and 3 to 1 for large text (18 points and
# more).
# 1.4.11 (non-text contrast): 3 to 1. Relative luminance as defined there.
TEXT_RATIO, LARGE_RATIO, LINE_RATIO = 4.5, 3.0, 3.0


def luminance(rgb):
    channel = np.asarray(rgb, dtype=float)
    linear = np.where(channel <= 0.04045, channel / 12.92, ((channel + 0.055) / 1.055) ** 2.4)
    return linear @ [0.2126, 0.7152, 0.0722]


def contrast(a, b):
    low, high = np.sort(np.stack(np.broadcast_arrays(luminance(a), luminance(b))), axis=0)
    return (high + 0.05) / (low + 0.05)
