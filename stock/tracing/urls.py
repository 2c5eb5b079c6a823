from django.urls import path

from stock.tracing import views

app_name = "tracing"
urlpatterns = [
    path("", views.Traces.as_view(), name="list"),
    path("surfaces/", views.Surfaces.as_view(), name="surfaces"),
    path("lots/<int:pk>/<slug:share>/", views.LotTrace.as_view(), name="lot"),
    path("lots/<int:pk>/<slug:share>/recall/", views.RecallSheet.as_view(), name="recall"),
    path("lots/<int:pk>/<slug:share>/recall.pdf", views.RecallPdf.as_view(), name="recall_pdf"),
    path("lots/<int:pk>/<slug:share>/recall.csv", views.RecallCsv.as_view(), name="recall_csv"),
    path("lots/<int:pk>/<slug:share>/hold/", views.HoldAll.as_view(), name="hold"),
    path("jobs/<int:pk>/", views.JobTracePage.as_view(), name="job"),
    path("jobs/<int:pk>/trace.csv", views.JobTraceCsv.as_view(), name="job_csv"),
]
