"""Addresses of the take-off, under /take-off/."""

from django.urls import path

from quotes.takeoff import views

app_name = "takeoff"
urlpatterns = [
    path("tools/", views.ToolsPage.as_view(), name="tools"),
    path("<int:pk>/", views.TakeOffPage.as_view(), name="detail"),
    path("<int:pk>/workings/", views.WorkingsPage.as_view(), name="workings"),
    path("<int:pk>/blends/", views.BlendsForm.as_view(), name="blends"),
    path("<int:pk>/planning/", views.PlanningAnswersForm.as_view(), name="planning"),
    path("<int:pk>/water/", views.WaterPage.as_view(), name="water"),
    path("<int:pk>/day/", views.DayPage.as_view(), name="day"),
]
