from django.urls import path

from jobs.outbox import views

app_name = "outbox"
urlpatterns = [
    path("", views.MessageList.as_view(), name="list"),
    path("<int:pk>/", views.MessageDetail.as_view(), name="detail"),
    path("<int:pk>/again/", views.SendAgain.as_view(), name="again"),
    path("<int:pk>/drop/", views.Drop.as_view(), name="drop"),
]
