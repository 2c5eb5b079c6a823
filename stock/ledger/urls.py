from django.urls import path

from stock.ledger import views

app_name = "ledger"
urlpatterns = [
    path("", views.Yard.as_view(), name="list"),
    path("scan/", views.Scan.as_view(), name="scan"),
    path("lots/<int:pk>/", views.LotDetail.as_view(), name="detail"),
    path("lots/<int:pk>/hold/", views.HoldLot.as_view(), name="hold"),
    path("lots/<int:pk>/release/", views.ReleaseLot.as_view(), name="release"),
    path("lots/<int:pk>/keep-back/", views.KeepBack.as_view(), name="keep_back"),
    path("kept-back/", views.KeptBackList.as_view(), name="kept_back"),
    path("kept-back/<int:pk>/until/", views.ExtendKept.as_view(), name="extend_kept"),
    path("kept-back/<int:pk>/release/", views.ReleaseKept.as_view(), name="release_kept"),
]
