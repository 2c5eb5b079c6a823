from django.urls import path

from jobs.billing import views

app_name = "billing"
urlpatterns = [
    path("", views.RequestList.as_view(), name="list"),
    path("<int:pk>/", views.RequestDetail.as_view(), name="request"),
    path("<int:pk>/receive/", views.RecordReceipt.as_view(), name="receive"),
    path("receipts/<int:pk>/back/", views.ReverseReceipt.as_view(), name="reverse"),
]
