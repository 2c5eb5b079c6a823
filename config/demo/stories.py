"""The demo's jobs: who, where, what, and when; all of it invented.

A story has either `lay` (working days from the present day to the first lay day) or `asked` (days
since the enquiry). What of it has happened by the present day follows from the times alone.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

Shape = tuple[str, dict[str, Any], bool]
R, T, C, O = "rectangle", "triangle", "circle", "outline"  # noqa: E741 - short in the table below


@dataclass(frozen=True)
class Surface:
    """One area: name, use, depth in mm, its shapes, and the pour it is laid in."""

    name: str
    use: str
    depth: str
    shapes: tuple[Shape, ...]
    pour: str = "pour 1"


@dataclass(frozen=True)
class Story:
    """One job from the first call on."""

    customer: str
    kind: str
    site: str
    title: str
    surfaces: tuple[Surface, ...]
    blend: str
    lay: int | None = None
    asked: int = 0
    crew: int = 0
    base: str = "tarmac"
    lost: str = ""
    stops_at: str = ""  # 'enquiry', 'survey', 'quote', 'cancel', 'order': what never came after
    lift: bool = False
    staged: bool = False  # paid in stages of its own
    hours: int = 100  # per cent of what was reckoned: some jobs run over


def rect(length: str, width: str, *, off: bool = False) -> Shape:
    return (R, {"length": length, "width": width}, off)


def tri(a: str, b: str, c: str) -> Shape:
    return (T, {"a": a, "b": b, "c": c}, False)


def disc(diameter: str, *, off: bool = False) -> Shape:
    return (C, {"diameter": diameter}, off)


def corners(*points: tuple[float, float]) -> Shape:
    return (O, {"points": [list(point) for point in points]}, False)


def drive(*shapes: Shape, depth: str = "20") -> Surface:
    return Surface("drive", "vehicles", depth, shapes)


def path(*shapes: Shape, pour: str = "pour 1") -> Surface:
    return Surface("path", "pedestrian", "16", shapes, pour)


GOLD, SLATE, HEATH = "Moor gold", "Tarn slate", "Heath red"
BEND = corners((0, 0), (7.4, 0), (7.4, 4.1), (4.2, 6.3), (0, 6.3))
STORIES: tuple[Story, ...] = (
    # -- laid in the past year, the oldest first ------------------------------------------------
    Story("Alder Grange Homes", "builder", "3 Fold Croft, Orrford", "Show house drive",
          (drive(rect("8.2 m", "4.6 m")),), GOLD, lay=-228, crew=0),
    Story("Mr and Mrs Thorne", "household", "Weir House, Lower Tarn", "Drive and path",
          (drive(rect("9.6 m", "4.2 m"), disc("0.6 m", off=True)), path(rect("7.5 m", "1.1 m"))),
          SLATE, lay=-214, crew=1, lift=True),
    Story("Ms Bright", "household", "12 Kiln Lane, Orrford", "Front drive",
          (drive(BEND),), HEATH, lay=-197, crew=0, hours=118),
    Story("Orrford Parish Council", "public", "Church Walk, Orrford", "Path to the porch",
          (path(rect("24 m", "1.5 m")),), GOLD, lay=-181, crew=1, base="concrete"),
    Story("Mr Achterberg", "household", "Sluice Cottage, Netherby Fen", "Drive",
          (drive(rect("6.8 m", "5.2 m")),), GOLD, lay=-166, crew=0),
    Story("Alder Grange Homes", "builder", "5 Fold Croft, Orrford", "Plot 5 drive",
          (drive(rect("8.2 m", "4.6 m")),), GOLD, lay=-151, crew=1),
    Story("Harrow Vale Dental", "business", "2 Mart Street, Orrford", "Forecourt",
          (drive(rect("10.4 m", "5.6 m"), rect("1.2 m", "0.9 m", off=True), depth="22"),),
          SLATE, lay=-134, crew=0, lift=True, hours=112),
    Story("Mrs Odell", "household", "Lark Rise, Upper Tarn", "Patio and steps",
          (Surface("patio", "pedestrian", "16", (rect("6.1 m", "4.4 m"),)),), HEATH, lay=-119,
          crew=1, base="concrete"),
    Story("Mr and Mrs Penrose", "household", "The Old Smithy, Netherby", "Drive with turning head",
          (drive(rect("7.2 m", "3.8 m"), disc("5.4 m")),), GOLD, lay=-104, crew=0),
    Story("Miss Fairlie", "household", "27 Kiln Lane, Orrford", "Front drive",
          (drive(tri("7.2 m", "6.1 m", "5.0 m"), rect("5.0 m", "3.1 m")),), SLATE, lay=-91, crew=1),
    Story("Tarnside School", "public", "School Lane, Lower Tarn", "Entrance apron",
          (path(rect("11.5 m", "3.2 m")),), HEATH, lay=-78, crew=0, base="concrete"),
    Story("Alder Grange Homes", "builder", "7 Fold Croft, Orrford", "Plot 7 drive",
          (drive(rect("8.2 m", "4.8 m")),), GOLD, lay=-66, crew=1),
    Story("Mr Vickery", "household", "Bank End, Upper Tarn", "Drive and path",
          (drive(rect("6.4 m", "4.7 m")), path(rect("9.0 m", "1.0 m"), pour="pour 2")), GOLD,
          lay=-54, crew=0),
    Story("Mrs Lisle", "household", "4 Mart Street, Orrford", "Courtyard",
          (Surface("courtyard", "pedestrian", "16",
           (rect("5.4 m", "4.9 m"), disc("1.1 m", off=True))),),
          SLATE, lay=-43, crew=1, base="concrete"),
    Story("Dr Hale", "household", "Fen View, Netherby Fen", "Drive",
          (drive(rect("10.2 m", "4.0 m")),), GOLD, lay=-33, crew=0, lift=True, hours=108),
    Story("Mr and Mrs Quillan", "household", "9 Fold Croft, Orrford", "Drive",
          (drive(rect("7.8 m", "4.4 m")),), HEATH, lay=-24, crew=1),
    Story("Bracken Court", "business", "Bracken Court, Lower Tarn", "Visitors' spaces",
          (drive(rect("9.8 m", "5.0 m"), depth="22"),), SLATE, lay=-17, crew=0),
    Story("Ms Teale", "household", "18 Kiln Lane, Orrford", "Front path",
          (path(rect("8.6 m", "1.3 m")),), GOLD, lay=-10, crew=1),
    # -- finished lately, on site, snagging -----------------------------------------------------
    Story("Mr Standish", "household", "Gate House, Upper Tarn", "Drive",
          (drive(rect("7.0 m", "4.6 m")),), GOLD, lay=-5, crew=0),
    Story("Mrs Royle", "household", "Mere End, Netherby", "Drive and apron",
          (drive(rect("6.6 m", "5.1 m"), disc("0.7 m", off=True)),), SLATE, lay=-2, crew=1),
    Story("Mr and Mrs Wynn", "household", "Rook Hall, Lower Tarn", "Drive, both wings",
          (drive(rect("10.6 m", "4.8 m")), Surface("turning", "vehicles", "20",
           (rect("6.2 m", "5.0 m"),), "pour 2")), GOLD, lay=-1, crew=0),
    # -- booked ---------------------------------------------------------------------------------
    Story("Mr Ellery", "household", "Tarn Foot, Upper Tarn", "Drive",
          (drive(rect("8.0 m", "4.3 m")),), SLATE, lay=2, crew=1),
    Story("Mrs Oakham", "household", "31 Kiln Lane, Orrford", "Front drive",
          (drive(rect("6.3 m", "4.1 m"), disc("0.6 m", off=True)),), HEATH, lay=3, crew=0),
    Story("Alder Grange Homes", "builder", "11 Fold Croft, Orrford", "Plot 11 drive",
          (drive(rect("8.2 m", "4.6 m")),), GOLD, lay=5, crew=1),
    # Not ordered yet: this is the shortage whose clock runs.
    Story("Ms Garland", "household", "Orchard House, Netherby", "Drive and path",
          (drive(rect("9.0 m", "4.4 m")), path(rect("6.5 m", "1.2 m"))), GOLD, lay=6, crew=0,
          stops_at="order"),
    Story("Mr Dunmore", "household", "Pound Cottage, Lower Tarn", "Drive",
          (drive(rect("7.4 m", "3.9 m")),), HEATH, lay=9, crew=0, stops_at="order"),
    Story("Lower Tarn Hall", "public", "The Hall, Lower Tarn", "Ramp and apron",
          (path(rect("8.8 m", "2.4 m")),), SLATE, lay=12, crew=1, stops_at="order"),
    # -- won, not booked yet ----------------------------------------------------------------------
    Story("Mrs Ashby", "household", "2 Mill Rise, Orrford", "Drive",
          (drive(rect("7.7 m", "4.5 m")),), GOLD, asked=17, stops_at="book", staged=True),
    Story("Mr Corran", "household", "Weaver's Row 6, Orrford", "Front drive",
          (drive(rect("5.9 m", "4.2 m")),), SLATE, asked=15, stops_at="book"),
    # -- quoted, surveyed, asked ------------------------------------------------------------------
    Story("Ms Hollis", "household", "40 Kiln Lane, Orrford", "Drive and path",
          (drive(rect("8.4 m", "5.1 m"), disc("0.6 m", off=True)), path(rect("6.0 m", "1.2 m"))),
          GOLD, asked=12, stops_at="quote"),
    Story("Harrow Vale Dental", "business", "2 Mart Street, Orrford", "Rear yard",
          (drive(rect("12.0 m", "6.4 m"), depth="22"),), SLATE, asked=11, stops_at="quote",
          staged=True),
    Story("Mr Pike", "household", "Sallow Bank, Netherby Fen", "Drive",
          (drive(BEND),), HEATH, asked=10, stops_at="quote"),
    Story("Miss Rudd", "household", "14 Mill Rise, Orrford", "Path",
          (path(rect("10.5 m", "1.1 m")),), GOLD, asked=9, stops_at="quote"),
    Story("Mr and Mrs Selby", "household", "High Barn, Upper Tarn", "Courtyard",
          (drive(rect("9.2 m", "7.1 m"), disc("2.2 m", off=True)),), SLATE, asked=6,
          stops_at="survey"),
    Story("Mrs Tranter", "household", "8 Weaver's Row, Orrford", "Front drive",
          (drive(rect("5.6 m", "4.0 m")),), GOLD, asked=5, stops_at="survey"),
    Story("Mr Usher", "household", "Ferry House, Lower Tarn", "Drive", (drive(rect("7 m", "4 m")),),
          GOLD, asked=2, stops_at="enquiry"),
    Story("Alder Grange Homes", "builder", "13 Fold Croft, Orrford", "Plot 13 drive",
          (drive(rect("8.2 m", "4.6 m")),), GOLD, asked=1, stops_at="enquiry"),
    Story("Ms Vane", "household", "22 Mill Rise, Orrford", "Steps and landing",
          (path(rect("3 m", "2 m")),), HEATH, asked=1, stops_at="enquiry"),
    # -- lost and cancelled -----------------------------------------------------------------------
    Story("Mr Kersey", "household", "Low Farm, Netherby", "Farm entrance",
          (drive(rect("14.0 m", "6.0 m"), depth="24"),), SLATE, asked=140, lost="price"),
    Story("Mrs Imrie", "household", "5 Weaver's Row, Orrford", "Front drive",
          (drive(rect("5.2 m", "4.4 m")),), GOLD, asked=96, lost="timing"),
    Story("Tarnside Garage", "business", "Station Road, Lower Tarn", "Forecourt",
          (drive(rect("11.0 m", "7.5 m"), depth="24"),), SLATE, asked=61, lost="other_surface"),
    Story("Mr Nash", "household", "Elm Croft, Netherby", "Drive",
          (drive(rect("6.7 m", "4.2 m")),), HEATH, asked=38, lost="no_answer"),
    Story("Miss Orrin", "household", "Dyke Side, Netherby Fen", "Drive",
          (drive(rect("7.1 m", "4.0 m")),), GOLD, asked=74, stops_at="cancel"),
)  # fmt: skip
