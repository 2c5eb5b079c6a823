"""Addresses of the reminders of quotes, under /chasing/."""

from django.urls import path

from quotes.chasing import views

app_name = "chasing"
urlpatterns = [
    path("<int:pk>/pause/", views.Pause.as_view(), name="pause"),
    path("<int:pk>/resume/", views.Resume.as_view(), name="resume"),
    path("<int:pk>/renew/", views.Renew.as_view(), name="renew"),
]
