from django.urls import path

from jobs.calendar.views import board, days

app_name = "calendar"
urlpatterns = [
    path("", board.Week.as_view(), name="week"),
    path("book/", board.Book.as_view(), name="book"),
    path("bookings/<int:pk>/", board.BookingDetail.as_view(), name="booking"),
    path("bookings/<int:pk>/move/", board.Move.as_view(), name="move"),
    path("bookings/<int:pk>/cancel/", board.Cancel.as_view(), name="cancel"),
    path("bookings/<int:pk>/told/", board.Tell.as_view(), name="told"),
    path("findings/<int:pk>/override/", board.Override.as_view(), name="override"),
    path("days/", days.Days.as_view(), name="days"),
    path("days/leave/", days.AddLeave.as_view(), name="leave"),
    path("days/leave/<int:pk>/cancel/", days.CancelLeave.as_view(), name="leave_cancel"),
    path("days/closed/", days.AddClosedDay.as_view(), name="closed"),
    path("days/closed/<int:pk>/open/", days.ReopenDay.as_view(), name="closed_open"),
    path("plant/", days.AddPlant.as_view(), name="plant"),
    path("plant/<int:pk>/", days.PlantEdit.as_view(), name="plant_edit"),
    path("plant/<int:pk>/away/", days.PlantArchive.as_view(), name="plant_archive"),
]
