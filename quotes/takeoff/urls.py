"""Addresses of the take-off, under /take-off/."""

from django.urls import path

from quotes.takeoff import views

app_name = "takeoff"
urlpatterns = [
    path("<int:pk>/", views.TakeOffPage.as_view(), name="detail"),
    path("<int:pk>/workings/", views.WorkingsPage.as_view(), name="workings"),
    path("<int:pk>/blends/", views.BlendsForm.as_view(), name="blends"),
]
