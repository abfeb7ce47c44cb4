"""The food composition table: foods.csv and portions.csv, as `Food` records."""

from __future__ import annotations

import csv
from collections.abc import Collection, Iterator
from decimal import Decimal, InvalidOperation
from pathlib import Path

from assistant.corpus.problems import Problem
from assistant.corpus.records import Food

_FIXED = ("code", "name", "group", "refuse_pct", "refuse")
_FACTORS = ("protein_factor", "fat_factor", "carbohydrate_factor")


def read_foods(
    folder: Path, problems: list[Problem], only: Collection[str] | None = None
) -> tuple[tuple[str, ...], dict[str, Food]]:
    """The value columns and the foods by code; with `only`, just those codes.

    Values are per 100 g of edible portion in the unit that the column's name ends with (kcal, g,
    mg, ug); an empty cell is None: no data. Unreadable rows become problems and are left out.
    """
    portions = _read_portions(folder / "portions.csv", problems, only)
    foods: dict[str, Food] = {}
    columns: tuple[str, ...] = ()
    path = folder / "foods.csv"
    with path.open(encoding="utf-8", newline="") as stream:
        reader = csv.reader(stream)
        header = next(reader, [])
        if tuple(header[: len(_FIXED)]) != _FIXED:
            problems.append(
                Problem("foods.csv", 1, f"the first columns must be {', '.join(_FIXED)}")
            )
            return (), {}
        columns = tuple(header[len(_FIXED) :])
        for cells in reader:
            if only is not None and (not cells or cells[0] not in only):
                continue
            if len(cells) != len(header):
                problems.append(
                    Problem("foods.csv", reader.line_num, f"{len(cells)} cells, not {len(header)}")
                )
                continue
            try:
                values = tuple(Decimal(cell) if cell else None for cell in cells[len(_FIXED) :])
                refuse = Decimal(cells[3]) if cells[3] else None
            except InvalidOperation:
                problems.append(
                    Problem("foods.csv", reader.line_num, "a value is not a plain number")
                )
                continue
            code = cells[0]
            foods[code] = Food(
                code, cells[1], cells[2], refuse, cells[4], values, tuple(portions.get(code, ()))
            )
    return columns, foods


def nutrient_columns(columns: tuple[str, ...]) -> tuple[str, ...]:
    """The columns that hold nutrients, without the energy factors."""
    return tuple(column for column in columns if column not in _FACTORS)


def _read_portions(
    path: Path, problems: list[Problem], only: Collection[str] | None
) -> dict[str, list[tuple[Decimal, str, Decimal]]]:
    found: dict[str, list[tuple[Decimal, str, Decimal]]] = {}
    for line, cells in _rows(path):
        if len(cells) != 5:
            problems.append(Problem("portions.csv", line, f"{len(cells)} cells, not 5"))
            continue
        code, _, amount, measure, grams = cells
        if only is not None and code not in only:
            continue
        try:
            number, weight = Decimal(amount), Decimal(grams)
        except InvalidOperation:
            problems.append(Problem("portions.csv", line, "amount or grams is not a plain number"))
            continue
        if number > 0 and weight > 0:
            found.setdefault(code, []).append((number, measure, weight))
    return found


def _rows(path: Path) -> Iterator[tuple[int, list[str]]]:
    with path.open(encoding="utf-8", newline="") as stream:
        reader = csv.reader(stream)
        next(reader, None)
        for cells in reader:
            yield reader.line_num, cells
