from django.urls import path

from jobs.audit import views

app_name = "audit"
urlpatterns = [path("", views.EventList.as_view(), name="list")]
