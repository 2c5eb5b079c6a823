from django.urls import path

from jobs.attachments import views

app_name = "attachments"
urlpatterns = [
    path("<uuid:uid>/", views.ServeAttachment.as_view(), name="file"),
    path("<uuid:uid>/remove/", views.RemoveAttachment.as_view(), name="remove"),
]
