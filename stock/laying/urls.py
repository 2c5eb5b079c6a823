from django.urls import path

from stock.laying import views

app_name = "laying"
urlpatterns = [
    path("", views.LayDays.as_view(), name="list"),
    path("jobs/<int:job>/<str:day>/", views.OpenDay.as_view(), name="open"),
    path("jobs/<int:job>/<str:day>/sheet/", views.Sheet.as_view(), name="sheet"),
    path("jobs/<int:job>/<str:day>/sheet.pdf", views.SheetPdf.as_view(), name="sheet_pdf"),
    path("<int:pk>/", views.LayDayPage.as_view(), name="day"),
    path("<int:pk>/base/", views.AcceptBase.as_view(), name="base"),
    path("<int:pk>/bays/", views.AddBay.as_view(), name="add_bay"),
    path("<int:pk>/mix/", views.LogMix.as_view(), name="mix"),
    path("<int:pk>/evening/", views.Evening.as_view(), name="evening"),
    path("<int:pk>/close/", views.CloseDay.as_view(), name="close"),
    path("<int:pk>/reopen/", views.ReopenDay.as_view(), name="reopen"),
    path("bays/<int:pk>/full/", views.BayFull.as_view(), name="bay_full"),
    path("mixes/<int:pk>/undo/", views.UndoMix.as_view(), name="undo_mix"),
    path("mixes/<int:pk>/spilt/", views.MarkSpilt.as_view(), name="spilt"),
    path("differences/", views.Differences.as_view(), name="differences"),
    path("differences/<int:pk>/", views.Answer.as_view(), name="answer"),
]
