"""Writing readings, files, sensors, excursions and holds."""

from stock.conditions.services.excursions import answer_excursion, check_place, sweep_excursions
from stock.conditions.services.files import (
    clashes_of,
    drop_file,
    forget_old_files,
    look_at_file,
    readings_of,
    take_file,
)
from stock.conditions.services.holds import hold_with_photos
from stock.conditions.services.readings import (
    KeptReadings,
    NewReading,
    add_reading,
    change_gap,
    leave_out_reading,
    lock_watch,
    post_readings,
)
from stock.conditions.services.sensors import (
    add_sensor,
    hash_of,
    renew_token,
    send_readings,
    stop_sensor,
)

__all__ = [
    "KeptReadings", "NewReading", "add_reading", "add_sensor", "answer_excursion", "change_gap",
    "check_place", "clashes_of", "drop_file", "forget_old_files", "hash_of", "hold_with_photos",
    "leave_out_reading", "lock_watch", "look_at_file", "post_readings", "readings_of",
    "renew_token", "send_readings", "stop_sensor", "sweep_excursions", "take_file",
]  # fmt: skip
