from django.urls import path

from jobs.calendar import views

app_name = "calendar"
urlpatterns = [
    path("", views.Week.as_view(), name="week"),
    path("book/", views.Book.as_view(), name="book"),
    path("bookings/<int:pk>/", views.BookingDetail.as_view(), name="booking"),
    path("bookings/<int:pk>/move/", views.Move.as_view(), name="move"),
    path("bookings/<int:pk>/cancel/", views.Cancel.as_view(), name="cancel"),
    path("bookings/<int:pk>/told/", views.Tell.as_view(), name="told"),
    path("findings/<int:pk>/override/", views.Override.as_view(), name="override"),
    path("days/", views.Days.as_view(), name="days"),
    path("days/leave/", views.AddLeave.as_view(), name="leave"),
    path("days/leave/<int:pk>/cancel/", views.CancelLeave.as_view(), name="leave_cancel"),
    path("days/closed/", views.AddClosedDay.as_view(), name="closed"),
    path("plant/", views.AddPlant.as_view(), name="plant"),
]
