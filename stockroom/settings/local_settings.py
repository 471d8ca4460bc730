"""What is proposed to a new shop, by where its computer says that it is.

Units, paper, marks of money and ways to write as they are common there; from memory.
"""

import re
from collections.abc import Mapping

__all__ = ["local_settings", "zone_here"]

EURO = [
    "AT",
    "BE",
    "CY",
    "DE",
    "EE",
    "ES",
    "FI",
    "FR",
    "GR",
    "HR",
    "IE",
    "IT",
    "LT",
    "LU",
    "LV",
    "MT",
    "NL",
    "PT",
    "SI",
    "SK",
]
MONEY = {
    **dict.fromkeys(EURO, "€"), "US": "$", "CA": "$", "AU": "$", "NZ": "$", "GB": "£", "CH": "CHF",
    "SE": "kr", "NO": "kr", "DK": "kr", "IS": "kr", "PL": "zł", "CZ": "Kč", "HU": "Ft", "JP": "¥",
    "IN": "₹",
}  # fmt: skip
INCHES, LETTER = ("US",), ("US", "CA", "MX", "PH")
MONTH_FIRST = ("US",)
POINT = ("en", "ja", "zh", "ko", "he", "th")
"""Languages whose decimals begin with a point, so that a comma is free to part cells."""
TAG = re.compile(r"([a-z]{2,3})[_-]([A-Z]{2})")


def local_settings(environment: Mapping[str, str]) -> dict[str, str]:
    """Settings as they are typed, by the locale of this environment; metric where it has none."""
    names = ("LC_ALL", "LC_MEASUREMENT", "LC_MONETARY", "LANG")
    tag = next((found for name in names if (found := TAG.match(environment.get(name, "")))), None)
    language, country = tag.groups() if tag else ("en", "")
    inches = country in INCHES
    return {
        "unit": "in" if inches else "mm", "step": "1/16 in" if inches else "0.5 mm",
        "paper": "letter" if country in LETTER else "a4", "currency": MONEY.get(country, "$"),
        "dates": "mdy" if country in MONTH_FIRST else "dmy",
        "csv": "comma" if language in POINT or country == "CH" else "semicolon",
        "timezone": zone_here(environment),
    }  # fmt: skip


def zone_here(environment: Mapping[str, str], link: str = "/etc/localtime") -> str:
    """The time zone of this computer by its name; UTC where it does not say."""
    import os
    from zoneinfo import available_timezones

    named = environment.get("TZ", "").removeprefix(":")
    if not named:
        try:
            named = os.readlink(link).partition("zoneinfo/")[2]
        except OSError:
            named = ""
    return named if named in available_timezones() else "UTC"
