"""Figures of corpus/foods.csv and corpus/portions.csv against their published source.

Source of every figure unless a test says otherwise: USDA National Nutrient Database for Standard
Reference, Release 28 (2015), files NUT_DATA, FOOD_DES and WEIGHT; per 100 g of edible portion.
"""

from __future__ import annotations

import csv
import importlib.util
import re
from decimal import Decimal
from functools import cache
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).resolve().parents[2]
CORPUS = ROOT / "corpus"
SCRIPT = ROOT / "scripts" / "build_foods.py"

HEADER = (
    "code,name,group,refuse_pct,refuse,protein_factor,fat_factor,carbohydrate_factor,energy_kcal,"
    "protein_g,fat_g,saturated_g,trans_g,mono_g,poly_g,cholesterol_mg,carbohydrate_g,fiber_g,"
    "sugars_g,sodium_mg,potassium_mg,calcium_mg,iron_mg,magnesium_mg,phosphorus_mg,zinc_mg,"
    "vitamin_a_ug,vitamin_c_mg,vitamin_d_ug,vitamin_e_mg,vitamin_k_ug,thiamin_mg,riboflavin_mg,"
    "niacin_mg,vitamin_b6_mg,folate_ug,vitamin_b12_ug,choline_mg,water_g,alcohol_g"
)
TEXT_COLUMNS = frozenset({"code", "name", "group", "refuse"})
PLAIN_DECIMAL = re.compile(r"(\d+(\.\d+)?|\.\d+)")

Row = dict[str, str]


@cache
def food_list() -> list[Row]:
    """Return the rows of foods.csv."""
    with (CORPUS / "foods.csv").open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


@cache
def foods() -> dict[str, Row]:
    """Return the rows of foods.csv by code."""
    return {row["code"]: row for row in food_list()}


@cache
def portion_list() -> list[Row]:
    """Return the rows of portions.csv."""
    with (CORPUS / "portions.csv").open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def grams(code: str, measure: str, amount: str = "1") -> Decimal:
    """Return the grams of one food's amount of a measure, which must be there once."""
    sought = (code, measure, amount)
    found = [
        row["grams"]
        for row in portion_list()
        if (row["code"], row["measure"], row["amount"]) == sought
    ]
    assert len(found) == 1, f"{sought}: {len(found)} rows"
    return Decimal(found[0])


def script() -> ModuleType:
    """Load scripts/build_foods.py, which is no part of any package."""
    spec = importlib.util.spec_from_file_location("build_foods", SCRIPT)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize(
    ("code", "start", "end", "sodium"),
    [
        ("16034", "Beans, kidney, red", "solids and liquids", "256"),
        ("16145", "Beans, kidney, red", "drained solids", "231"),
        ("16335", "Beans, kidney, red", "rinsed in tap water", "208"),
        ("16058", "Chickpeas", "solids and liquids", "278"),
        ("16358", "Chickpeas", "drained solids", "246"),
        ("16359", "Chickpeas", "rinsed in tap water", "212"),
        ("16146", "Beans, pinto", "drained solids", "239"),
        ("16345", "Beans, pinto", "rinsed in tap water", "212"),
        ("11308", "Peas, green", "drained solids, unprepared", "273"),
        ("11311", "Peas, green", "rinsed in tap water", "231"),
        ("11172", "Corn, sweet, yellow", "drained solids", "205"),
        ("11177", "Corn, sweet, yellow", "rinsed with tap water", "163"),
        ("02047", "Salt", "table", "38758"),
    ],
)
def test_sodium(code: str, start: str, end: str, sodium: str) -> None:
    """Sodium, mg per 100 g, as SR28 NUT_DATA nutrient 307 prints it."""
    name = foods()[code]["name"]
    assert name.startswith(start)
    assert name.endswith(end)
    assert foods()[code]["sodium_mg"] == sodium


@pytest.mark.parametrize(
    ("whole", "rinsed", "percent"), [("16034", "16335", 19), ("16058", "16359", 24)]
)
def test_sodium_cut_by_draining_and_rinsing(whole: str, rinsed: str, percent: int) -> None:
    """The cut per 100 g from whole can to drained and rinsed, computed from SR28 NUT_DATA."""
    before = Decimal(foods()[whole]["sodium_mg"])
    after = Decimal(foods()[rinsed]["sodium_mg"])
    assert round(100 * (before - after) / before) == percent


@pytest.mark.parametrize(
    ("code", "energy", "fiber"), [("16032", "337", "15.2"), ("16033", "127", "7.4")]
)
def test_kidney_beans_raw_and_boiled(code: str, energy: str, fiber: str) -> None:
    """Energy and fiber of red kidney beans, raw then boiled, from SR28 NUT_DATA 208 and 291."""
    assert foods()[code]["energy_kcal"] == energy
    assert foods()[code]["fiber_g"] == fiber


@pytest.mark.parametrize(
    ("code", "name", "protein", "fat", "carbohydrate"),
    [
        ("01123", "Egg, whole, raw, fresh", "4.36", "9.02", "3.68"),
        ("01001", "Butter, salted", "4.27", "8.79", "3.87"),
        ("20081", "Wheat flour, white, all-purpose, enriched, bleached", "4.05", "8.37", "4.12"),
        ("11282", "Onions, raw", "2.78", "8.37", "3.84"),
        ("11457", "Spinach, raw", "2.44", "8.37", "3.57"),
        ("09003", "Apples, raw, with skin", "3.36", "8.37", "3.60"),
        ("11352", "Potatoes, flesh and skin, raw", "2.78", "8.37", "4.03"),
        ("11304", "Peas, green, raw", "3.47", "8.37", "4.07"),
        ("04053", "Oil, olive, salad or cooking", "", "8.84", ""),
        ("19335", "Sugars, granulated", "", "", "3.87"),
    ],
)
def test_energy_factors(code: str, name: str, protein: str, fat: str, carbohydrate: str) -> None:
    """Specific energy factors, kcal/g, from SR28 FOOD_DES; empty where it prints none."""
    row = foods()[code]
    assert row["name"] == name
    found = (row["protein_factor"], row["fat_factor"], row["carbohydrate_factor"])
    assert found == (protein, fat, carbohydrate)


@pytest.mark.parametrize(
    ("code", "name", "measure", "amount", "weight"),
    [
        ("02047", "Salt, table", "tsp", "1", "6.0"),
        ("11215", "Garlic, raw", "clove", "1", "3.0"),
        ("11215", "Garlic, raw", "tsp", "1", "2.8"),
        ("11216", "Ginger root, raw", "tsp", "1", "2.0"),
        ("02021", "Spices, ginger, ground", "tsp", "1", "1.8"),
        ("20081", "Wheat flour, white, all-purpose", "cup", "1", "125"),
        ("19335", "Sugars, granulated", "cup", "1", "200"),
        ("19335", "Sugars, granulated", "tsp", "1", "4.2"),
        ("19334", "Sugars, brown", "cup packed", "1", "220"),
        ("19336", "Sugars, powdered", "cup unsifted", "1", "120"),
        ("19296", "Honey", "tbsp", "1", "21"),
        ("01001", "Butter, salted", "tbsp", "1", "14.2"),
        ("01001", "Butter, salted", "stick", "1", "113"),
        ("04053", "Oil, olive", "tablespoon", "1", "13.5"),
        ("20027", "Cornstarch", "cup", "1", "128"),
        ("01123", "Egg, whole, raw, fresh", "large", "1", "50"),
        ("01124", "Egg, white, raw, fresh", "large", "1", "33"),
        ("01125", "Egg, yolk, raw, fresh", "large", "1", "17"),
        ("11282", "Onions, raw", 'medium (2-1/2" dia)', "1", "110"),
        ("11282", "Onions, raw", "cup, chopped", "1", "160"),
        ("11124", "Carrots, raw", "cup chopped", "1", "128"),
        ("11457", "Spinach, raw", "cup", "1", "30"),
        ("18372", "Leavening agents, baking soda", "tsp", "1", "4.6"),
        ("18369", "Leavening agents, baking powder", "tsp", "1", "4.6"),
        ("18370", "Leavening agents, baking powder", "tsp", "1", "4.6"),
        (
            "11333",
            "Peppers, sweet, green, raw",
            'medium (approx 2-3/4" long, 2-1/2" dia)',
            "1",
            "119",
        ),
        ("11529", "Tomatoes, red, ripe, raw", 'medium whole (2-3/5" dia)', "1", "123"),
        (
            "11352",
            "Potatoes, flesh and skin, raw",
            'Potato medium (2-1/4" to 3-1/4" dia)',
            "1",
            "213",
        ),
        ("11297", "Parsley, fresh", "cup chopped", "1", "60"),
        ("02044", "Basil, fresh", "tbsp, chopped", "2", "5.3"),
    ],
)
def test_household_weight(code: str, name: str, measure: str, amount: str, weight: str) -> None:
    """Grams of a household measure, from SR28 WEIGHT."""
    assert foods()[code]["name"].startswith(name)
    assert grams(code, measure, amount) == Decimal(weight)


def test_sodium_in_a_teaspoon_of_salt() -> None:
    """A teaspoon of table salt holds about 2,325 mg sodium, from SR28 NUT_DATA and WEIGHT."""
    sodium = Decimal(foods()["02047"]["sodium_mg"])
    assert round(sodium * grams("02047", "tsp") / 100) == 2325


def test_garlic_clove_in_teaspoons() -> None:
    """A clove of garlic is 1.07 teaspoons, computed from SR28 WEIGHT."""
    assert round(grams("11215", "clove") / grams("11215", "tsp"), 2) == Decimal("1.07")


@pytest.mark.parametrize(
    ("code", "name", "refuse"),
    [
        ("11282", "Onions, raw", "10"),
        ("11215", "Garlic, raw", "13"),
        ("11216", "Ginger root, raw", "7"),
        ("11124", "Carrots, raw", "11"),
        ("11143", "Celery, raw", "11"),
        ("11333", "Peppers, sweet, green, raw", "18"),
        ("11529", "Tomatoes, red, ripe, raw, year round average", "9"),
        ("11352", "Potatoes, flesh and skin, raw", "25"),
        ("11507", "Sweet potato, raw, unprepared", "28"),
        ("11090", "Broccoli, raw", "39"),
        ("11135", "Cauliflower, raw", "61"),
        ("11109", "Cabbage, raw", "20"),
        ("11457", "Spinach, raw", "28"),
        ("11233", "Kale, raw", "28"),
        ("11205", "Cucumber, with peel, raw", "3"),
        ("11260", "Mushrooms, white, raw", "3"),
        ("11011", "Asparagus, raw", "47"),
        ("11297", "Parsley, fresh", "5"),
        ("11165", "Coriander (cilantro) leaves, raw", "15"),
        ("02044", "Basil, fresh", "36"),
        ("09150", "Lemons, raw, without peel", "47"),
        ("09200", "Oranges, raw, all commercial varieties", "27"),
        ("09003", "Apples, raw, with skin", "10"),
        ("09040", "Bananas, raw", "36"),
        ("09037", "Avocados, raw, all commercial varieties", "26"),
        ("11477", "Squash, summer, zucchini, includes skin, raw", "5"),
        ("11485", "Squash, winter, butternut, raw", "16"),
        ("11246", "Leeks, (bulb and lower leaf-portion), raw", "56"),
        ("11291", "Onions, spring or scallions (includes tops and bulb), raw", "4"),
        ("11677", "Shallots, raw", "12"),
        ("11052", "Beans, snap, green, raw", "12"),
        ("11167", "Corn, sweet, yellow, raw", "64"),
        ("11252", "Lettuce, iceberg (includes crisphead types), raw", "5"),
        ("11251", "Lettuce, cos or romaine, raw", "6"),
        ("11007", "Artichokes, (globe or french), raw", "60"),
        ("09326", "Watermelon, raw", "48"),
        ("09316", "Strawberries, raw", "6"),
        ("11304", "Peas, green, raw", "62"),
        ("11080", "Beets, raw", "33"),
        ("01123", "Egg, whole, raw, fresh", "12"),
    ],
)
def test_refuse(code: str, name: str, refuse: str) -> None:
    """Refuse, % of purchased weight, from SR28 FOOD_DES, with the words that say what it is."""
    row = foods()[code]
    assert row["name"] == name
    assert row["refuse_pct"] == refuse
    assert row["refuse"]


def test_no_data_is_an_empty_cell() -> None:
    """SR28 has no vitamin A for drained red kidney beans (16145), yet prints 0 for potatoes."""
    assert foods()["16145"]["vitamin_a_ug"] == ""
    assert foods()["11352"]["vitamin_a_ug"] == "0"


def test_units_of_vitamins_a_and_d_and_folate() -> None:
    """SR28 whole egg: vitamin A 160 ug RAE (not 540 IU), vitamin D 2.0 ug (not 82 IU)."""
    egg = foods()["01123"]
    assert (egg["vitamin_a_ug"], egg["vitamin_d_ug"]) == ("160", "2.0")
    # Enriched flour tells the folates apart: 291 ug as dietary folate equivalents, 183 ug total.
    assert foods()["20081"]["folate_ug"] == "291"


def test_shape_of_foods() -> None:
    """The header and the count of foods.csv, and no code twice, as the corpus promises."""
    first, _, rest = (CORPUS / "foods.csv").read_text(encoding="utf-8").partition("\n")
    assert first == HEADER
    assert "\r" not in rest
    codes = [row["code"] for row in food_list()]
    assert 5500 < len(codes) < 6500
    assert codes == sorted(set(codes))
    assert all(re.fullmatch(r"\d{5}", code) for code in codes)


def test_shape_of_portions() -> None:
    """Every portion names a food of foods.csv, and no sequence number comes twice in a food."""
    first = (CORPUS / "portions.csv").read_text(encoding="utf-8").partition("\n")[0]
    assert first == "code,seq,amount,measure,grams"
    assert {row["code"] for row in portion_list()} <= foods().keys()
    keys = [(row["code"], int(row["seq"])) for row in portion_list()]
    assert keys == sorted(set(keys))
    for row in portion_list():
        assert row["measure"]
        assert Decimal(row["amount"]) > 0
        assert Decimal(row["grams"]) > 0


def test_figures_are_plain_decimals() -> None:
    """Every figure is empty or a decimal without exponent, sign or thousands mark, as in SR28."""
    for row in food_list():
        for column, text in row.items():
            if column not in TEXT_COLUMNS and text:
                assert PLAIN_DECIMAL.fullmatch(text), f"{row['code']} {column}: {text!r}"
    for row in portion_list():
        assert PLAIN_DECIMAL.fullmatch(row["amount"])
        assert PLAIN_DECIMAL.fullmatch(row["grams"])


@pytest.mark.parametrize(
    ("group", "name", "manufacturer", "kept"),
    [
        ("1100", "Onions, raw", "", True),
        ("0100", "USDA Commodity, cheese, cheddar, reduced fat", "", True),
        ("0500", "Chicken, broiler, rotisserie, BBQ, breast meat only", "", True),
        ("0600", "Sauce, ready-to-serve, pepper, TABASCO", "", False),
        ("1900", "Topping, SMUCKER'S MAGIC SHELL", "", False),
        ("0100", "Reddi Wip Fat Free Whipped Topping", "", False),
        ("0600", "Soup, chunky vegetable", "Campbell Soup Co.", False),
        ("0300", "Babyfood, apples, dices, toddler", "", False),
        ("2100", "Fast foods, hamburger; single, regular patty; plain", "", False),
        ("3600", "Restaurant, Chinese, fried rice, without meat", "", False),
    ],
)
def test_generic_foods_only(group: str, name: str, manufacturer: str, kept: bool) -> None:
    """Brands, baby, fast and restaurant foods go; names in the way SR28 FOOD_DES writes them."""
    assert script().is_generic(group, name, manufacturer) is kept


def test_wrong_archive(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """An archive that is not the named one is refused in one line and nothing is written."""
    archive = tmp_path / "other.tar.gz"
    archive.write_bytes(b"not the archive")
    out = tmp_path / "out"
    assert script().main(["--archive", str(archive), "--out", str(out)]) == 1
    message = capsys.readouterr().err
    assert message.startswith("build_foods: the archive's SHA-256 is ")
    assert message.count("\n") == 1
    assert not out.exists()


def test_missing_archive(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """An archive that is not there is named in one line."""
    assert script().main(["--archive", str(tmp_path / "none"), "--out", str(tmp_path)]) == 1
    message = capsys.readouterr().err
    assert "none" in message
    assert message.count("\n") == 1


def test_no_network(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """An index that does not answer is named in one line that tells what to do instead."""
    # Port 9 (discard) on this machine: nothing listens there, so the refusal is immediate.
    monkeypatch.setenv("PIP_INDEX_URL", "http://127.0.0.1:9/simple")
    monkeypatch.setenv("no_proxy", "127.0.0.1")
    assert script().main(["--out", str(tmp_path)]) == 1
    message = capsys.readouterr().err
    assert "cannot read http://127.0.0.1:9/simple/" in message
    assert "--archive" in message
    assert message.count("\n") == 1


def test_rebuild(tmp_path: Path) -> None:
    """The shipped files are, byte for byte, what the script makes of the source archive."""
    build_foods = script()
    try:
        archive = build_foods.download(timeout=10)
    except build_foods.UnreachableError as error:
        pytest.skip(f"no package index answers: {error}")
    build_foods.build(archive, tmp_path)
    for name in ("foods.csv", "portions.csv"):
        assert (tmp_path / name).read_bytes() == (CORPUS / name).read_bytes(), name
