"""Addresses of the reminders of quotes and variations, under /chasing/."""

from django.urls import path

from quotes.chasing import views

app_name = "chasing"
urlpatterns = [
    path("<int:pk>/pause/", views.Pause.as_view(), name="pause"),
    path("<int:pk>/resume/", views.Resume.as_view(), name="resume"),
    path("variation/<int:pk>/pause/", views.PauseVariation.as_view(), name="pause_variation"),
    path("variation/<int:pk>/resume/", views.ResumeVariation.as_view(), name="resume_variation"),
    path("<int:pk>/renew/", views.Renew.as_view(), name="renew"),
]
