"""Pages of the conditions, and the address that sensors send to."""

from stock.conditions.views.excursions import Answer, ExcursionDetail, Excursions
from stock.conditions.views.files import DropFile, FileDetail, ImportFile, TakeFile
from stock.conditions.views.holds import AddPhotos, Hold, Vans
from stock.conditions.views.places import PlaceDetail, Places
from stock.conditions.views.readings import AddReading, ChangeGap, LeaveOut, Readings
from stock.conditions.views.send import Send
from stock.conditions.views.sensors import AddSensor, RenewToken, Sensors, StopSensor

__all__ = [
    "AddPhotos", "AddReading", "AddSensor", "Answer", "ChangeGap", "DropFile", "ExcursionDetail",
    "Excursions", "FileDetail", "Hold", "ImportFile", "LeaveOut", "PlaceDetail", "Places",
    "Readings", "RenewToken", "Send", "Sensors", "StopSensor", "TakeFile", "Vans",
]  # fmt: skip
