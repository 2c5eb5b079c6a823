from django.urls import path

from stock.ledger import views

app_name = "ledger"
urlpatterns = [
    path("", views.Yard.as_view(), name="list"),
    path("scan/", views.Scan.as_view(), name="scan"),
    path("lots/<int:pk>/", views.LotDetail.as_view(), name="detail"),
    path("lots/<int:pk>/hold/", views.HoldLot.as_view(), name="hold"),
    path("lots/<int:pk>/release/", views.ReleaseLot.as_view(), name="release"),
]
