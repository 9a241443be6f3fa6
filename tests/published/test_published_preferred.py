"""Preferred values: the printed lists of IEC 60063 and the picks of printed designs."""

import pytest

from partcheck.physics import preferred

IEC = "IEC 60063; package data read (eseries 1.2.1)"

PRINTED = {
    "P-01 E12": "10 12 15 18 22 27 33 39 47 56 68 82",
    "P-02 E24": "10 11 12 13 15 16 18 20 22 24 27 30 33 36 39 43 47 51 56 62 68 75 82 91",
    "P-03 E48": (
        "100 105 110 115 121 127 133 140 147 154 162 169 178 187 196 205 215 226 237 249 261 274 287 301 316 "
        "332 348 365 383 402 422 442 464 487 511 536 562 590 619 649 681 715 750 787 825 866 909 953"
    ),
    "P-04 E96": (
        "100 102 105 107 110 113 115 118 121 124 127 130 133 137 140 143 147 150 154 158 162 165 169 174 178 "
        "182 187 191 196 200 205 210 215 221 226 232 237 243 249 255 261 267 274 280 287 294 301 309 316 324 "
        "332 340 348 357 365 374 383 392 402 412 422 432 442 453 464 475 487 499 511 523 536 549 562 576 590 "
        "604 619 634 649 665 681 698 715 732 750 768 787 806 825 845 866 887 909 931 953 976"
    ),
    "P-05 E192": (
        "100 101 102 104 105 106 107 109 110 111 113 114 115 117 118 120 121 123 124 126 127 129 130 132 133 "
        "135 137 138 140 142 143 145 147 149 150 152 154 156 158 160 162 164 165 167 169 172 174 176 178 180 "
        "182 184 187 189 191 193 196 198 200 203 205 208 210 213 215 218 221 223 226 229 232 234 237 240 243 "
        "246 249 252 255 258 261 264 267 271 274 277 280 284 287 291 294 298 301 305 309 312 316 320 324 328 "
        "332 336 340 344 348 352 357 361 365 370 374 379 383 388 392 397 402 407 412 417 422 427 432 437 442 "
        "448 453 459 464 470 475 481 487 493 499 505 511 517 523 530 536 542 549 556 562 569 576 583 590 597 "
        "604 612 619 626 634 642 649 657 665 673 681 690 698 706 715 723 732 741 750 759 768 777 787 796 806 "
        "816 825 835 845 856 866 876 887 898 909 920 931 942 953 965 976 988"
    ),
}


@pytest.mark.parametrize("row", PRINTED)
def test_series_as_printed(row: str) -> None:
    assert preferred.SERIES[row.split()[1]] == tuple(map(int, PRINTED[row].split())), IEC


def rounded(name: str) -> list[tuple[int, int]]:
    """Members that are not the rounded geometric series, each with what that would give."""
    count = int(name[1:])
    first = preferred.SERIES[name][0]
    ideal = [round(first * 10 ** (i / count)) for i in range(count)]
    return [(real, there) for real, there in zip(preferred.SERIES[name], ideal, strict=True) if real != there]


@pytest.mark.parametrize(
    ("name", "exceptions"),
    [
        ("E12", [(27, 26), (33, 32), (39, 38), (47, 46), (82, 83)]),
        ("E24", [(27, 26), (30, 29), (33, 32), (36, 35), (39, 38), (43, 42), (47, 46), (82, 83)]),
        ("E48", []),
        ("E96", []),
        ("E192", [(920, 919)]),
    ],
)
def test_p06_the_series_are_not_rounded_powers_of_ten(name: str, exceptions: list[tuple[int, int]]) -> None:
    """IEC 60063 (package data read, eseries 1.2.1; the counts are ours)."""
    assert rounded(name) == exceptions


JACOB = "Jacob, Power Electronics: Principles & Applications, "
NOTEBOOK = " (notebook read: it transcribes the textbook example; the book's page was not seen)"


def test_p16_base_resistors_are_picked_below() -> None:
    """2.2 kΩ for 3.0 kΩ and 33 Ω for 48.5 Ω (Jacob, Examples 6.4 and 6.1; notebook read).

    The books step down one or two values of E6: a smaller base resistor drives harder.
    """
    assert preferred.at_most("E6", 3000.0) == 2200.0
    assert 33.0 in preferred.series_values("E6", 48.5 / 2, 48.5)
