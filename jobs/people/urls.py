from django.urls import path

from jobs.people import views

app_name = "people"
urlpatterns = [
    path("", views.PersonList.as_view(), name="list"),
    path("add/", views.PersonCreate.as_view(), name="create"),
    path("<int:pk>/", views.PersonEdit.as_view(), name="edit"),
    path("<int:pk>/rate/", views.PersonRate.as_view(), name="rate"),
    path("<int:pk>/left/", views.PersonArchive.as_view(), name="archive"),
    path("<int:pk>/back/", views.PersonRestore.as_view(), name="restore"),
    path("crews/add/", views.CrewCreate.as_view(), name="crew"),
    path("crews/<int:pk>/", views.CrewEdit.as_view(), name="crew_edit"),
    path("crews/<int:pk>/dissolve/", views.CrewArchive.as_view(), name="crew_archive"),
]
