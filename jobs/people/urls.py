from django.urls import path

from jobs.people import views

app_name = "people"
urlpatterns = [
    path("", views.PersonList.as_view(), name="list"),
    path("add/", views.PersonCreate.as_view(), name="create"),
    path("<int:pk>/", views.PersonEdit.as_view(), name="edit"),
    path("<int:pk>/rate/", views.PersonRate.as_view(), name="rate"),
    path("crews/add/", views.CrewCreate.as_view(), name="crew"),
]
