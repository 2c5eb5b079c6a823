from django.urls import path

from stock.suppliers import views

app_name = "suppliers"
urlpatterns = [
    path("", views.Suppliers.as_view(), name="list"),
    path("add/", views.SupplierCreate.as_view(), name="create"),
    path("prices/sheet/", views.PriceImport.as_view(), name="import"),
    path("prices/sheet/out/", views.PriceExport.as_view(), name="export"),
    path("<int:pk>/", views.SupplierDetail.as_view(), name="detail"),
    path("<int:pk>/edit/", views.SupplierEdit.as_view(), name="edit"),
    path("<int:pk>/channel/", views.ChannelSet.as_view(), name="channel"),
    path("<int:pk>/closed/", views.CloseDay.as_view(), name="close_day"),
    path("<int:pk>/price/", views.PriceSet.as_view(), name="price"),
    path("closed/<int:pk>/open/", views.OpenDay.as_view(), name="open_day"),
]
