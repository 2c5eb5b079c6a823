"""The same take-offs as a spreadsheet, which is what the firm would otherwise use.

The workbook holds inputs and formulas and no cached value, so LibreOffice Calc must work every cell
out; its start-up, measured with a workbook of one row, is taken off. Loading and writing the 1,000
rows stay in, as they do in the office. The engine's side is quantities only, which is what the
sheet works out; both must give the same figures, or the measure raises.
"""

from __future__ import annotations

import math
import random
import shutil
import statistics
import subprocess
import tempfile
import time
from pathlib import Path
from typing import Any

from openpyxl import Workbook, load_workbook

from quotes.engine.parse import parse_request
from quotes.engine.request import Request
from quotes.engine.takeoff import take_off
from tests.bench.clock import AbsentError
from tests.bench.documents import one_area

ROWS, TURNS = 1000, 3
Row = tuple[int, int, int, int]
# Mass of a mix: 4.8 + 2.2 kg of resin on 105 kg of aggregate. Texture 0.5 mm, density 1778 kg/m³.
FORMULAS = (
    "=A{r}*B{r}/10000-PI()*(C{r}/200)^2",
    "=E{r}*(D{r}/1000+0.0005)*1778*1.05",
    "=F{r}/112",
    "=ROUNDUP(ROUND(G{r};9);0)",
    "=H{r}*7",
    "=H{r}*105",
    "=ROUNDUP(H{r}*4;0)",
    "=ROUNDUP(H{r};0)",
    "=ROUNDUP(H{r};0)",
)


def rows(count: int) -> list[Row]:
    draw = random.Random(11)
    return [
        (
            draw.randint(200, 2500),
            draw.randint(120, 900),
            draw.randint(20, 90),
            draw.choice((15, 18, 20, 24)),
        )
        for _ in range(count)
    ]


def write_workbook(path: Path, data: list[Row]) -> None:
    book = Workbook()
    sheet = book.worksheets[0]
    for number, row in enumerate(data, 1):
        formulas = [formula.format(r=number).replace(";", ",") for formula in FORMULAS]
        sheet.append([*row, *formulas])
    book.save(path)


def recalculate(soffice: str, folder: Path, name: str) -> tuple[float, Path]:
    """Return the seconds that Calc takes to load, work out and write a workbook, and the result."""
    out = folder / "out"
    begun = time.perf_counter()
    subprocess.run(
        [
            soffice,
            f"-env:UserInstallation=file://{folder}/profile",
            "--headless",
            "--norestore",
            "--convert-to",
            "xlsx:Calc MS Excel 2007 XML",
            "--outdir",
            str(out),
            str(folder / name),
        ],
        check=True,
        capture_output=True,
        timeout=120,
    )
    return time.perf_counter() - begun, out / name


def calc_seconds(folder: Path, data: list[Row]) -> tuple[float, list[tuple[Any, ...]]]:
    """Return Calc's seconds for the rows, start-up apart, and what it worked out."""
    soffice = shutil.which("soffice")
    if soffice is None:
        raise AbsentError("LibreOffice Calc is not installed (package libreoffice-calc)")
    write_workbook(folder / "all.xlsx", data)
    write_workbook(folder / "one.xlsx", data[:1])
    recalculate(soffice, folder, "one.xlsx")  # makes the profile
    alone = statistics.median(recalculate(soffice, folder, "one.xlsx")[0] for _ in range(TURNS))
    runs = [recalculate(soffice, folder, "all.xlsx") for _ in range(TURNS)]
    sheet = load_workbook(runs[-1][1], data_only=True).worksheets[0]
    found = list(sheet.iter_rows(values_only=True))
    return statistics.median(seconds for seconds, _ in runs) - alone, found


def engine_seconds(requests: list[Request]) -> tuple[float, list[tuple[float, ...]]]:
    """Return the engine's seconds for the same, and its figures in the sheet's order."""
    begun = time.perf_counter()
    found = [take_off(request) for request in requests]
    seconds = time.perf_counter() - begun
    return seconds, [
        (
            one.area_m2,
            one.areas[0].mass_exact_kg,
            one.mixes_exact,
            one.mixes,
            one.resin_kg,
            one.aggregate_kg,
            *(component.bags for component in one.components),
        )
        for one in found
    ]


def ratio() -> float:
    """Return how many times the engine's time Calc needs. Raises where the answers differ."""
    data = rows(ROWS)
    requests = [parse_request(one_area(*row)) for row in data]
    with tempfile.TemporaryDirectory(prefix="resinwright-bench-") as name:
        by_calc, sheet = calc_seconds(Path(name), data)
    by_engine, figures = engine_seconds(requests)
    for row, ours, theirs in zip(data, figures, sheet, strict=True):
        for mine, cell in zip(ours, theirs[4:], strict=True):
            if not math.isclose(mine, float(cell), rel_tol=1e-9):
                raise AssertionError(f"{row}: the engine says {mine}, the sheet {cell}.")
    return by_calc / by_engine
