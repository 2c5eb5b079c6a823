from django.urls import path

from stock.labels import views

app_name = "labels"
urlpatterns = [
    path("", views.LotLabels.as_view(), name="list"),
    path("lots.pdf", views.LotLabelsPdf.as_view(), name="lots_pdf"),
    path("jobs/<int:pk>/", views.JobLabels.as_view(), name="job"),
    path("places/", views.PlaceLabels.as_view(), name="places"),
    path("places.pdf", views.PlaceLabelsPdf.as_view(), name="places_pdf"),
    # Short, since every letter makes the code on the label finer.
    path("l/<uuid:uid>/", views.OpenLot.as_view(), name="open_lot"),
    path("p/<int:pk>/", views.OpenPlace.as_view(), name="open_place"),
]
