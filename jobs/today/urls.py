from django.urls import path

from jobs.today import views

app_name = "today"
urlpatterns = [path("", views.Today.as_view(), name="today")]
