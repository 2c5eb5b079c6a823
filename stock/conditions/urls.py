from django.urls import path

from stock.conditions import views

app_name = "conditions"
urlpatterns = [
    path("", views.Places.as_view(), name="list"),
    path("places/<int:pk>/", views.PlaceDetail.as_view(), name="place"),
    path("places/<int:pk>/add/", views.AddReading.as_view(), name="add"),
    path("places/<int:pk>/gap/", views.ChangeGap.as_view(), name="gap"),
    path("places/<int:pk>/file/", views.ImportFile.as_view(), name="import"),
    path("files/<int:pk>/", views.FileDetail.as_view(), name="file"),
    path("files/<int:pk>/take/", views.TakeFile.as_view(), name="take"),
    path("files/<int:pk>/drop/", views.DropFile.as_view(), name="drop"),
    path("readings/", views.Readings.as_view(), name="readings"),
    path("readings/<int:pk>/leave-out/", views.LeaveOut.as_view(), name="leave_out"),
    path("excursions/", views.Excursions.as_view(), name="excursions"),
    path("excursions/<int:pk>/", views.ExcursionDetail.as_view(), name="excursion"),
    path("excursions/<int:pk>/answer/", views.Answer.as_view(), name="answer"),
    path("sensors/", views.Sensors.as_view(), name="sensors"),
    path("sensors/add/", views.AddSensor.as_view(), name="add_sensor"),
    path("sensors/<int:pk>/token/", views.RenewToken.as_view(), name="renew"),
    path("sensors/<int:pk>/stop/", views.StopSensor.as_view(), name="stop"),
    path("send/", views.Send.as_view(), name="send"),
    path("vans/", views.Vans.as_view(), name="vans"),
    path("lots/<int:pk>/hold/", views.Hold.as_view(), name="hold"),
    path("lots/<int:pk>/photos/", views.AddPhotos.as_view(), name="photos"),
]
