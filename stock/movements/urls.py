from django.urls import path

from stock.movements import views

app_name = "movements"
urlpatterns = [
    path("", views.Postings.as_view(), name="list"),
    path("bench/", views.Bench.as_view(), name="bench"),
    path("scan/", views.ScanTo.as_view(), name="scan"),
    path("waste/", views.WasteList.as_view(), name="waste_list"),
    path("waste/notes/new/", views.NoteNew.as_view(), name="note_new"),
    path("waste/notes/<int:pk>/", views.Note.as_view(), name="note"),
    path("waste/notes/<int:pk>/void/", views.NoteVoid.as_view(), name="note_void"),
    path("use-first/", views.DyingList.as_view(), name="dying"),
    path("tins/", views.Tins.as_view(), name="tins"),
    path("tins/add/", views.AddTin.as_view(), name="tin_add"),
    path("tins/<int:pk>/pair/", views.PairTins.as_view(), name="tin_pair"),
    path("tins/<int:pk>/scrap/", views.ScrapTin.as_view(), name="tin_scrap"),
    path("lots/<int:pk>/tin/", views.KeepTin.as_view(), name="tin_keep"),
    path("<int:pk>/", views.PostingDetail.as_view(), name="detail"),
    path("<int:pk>/undo/", views.Undo.as_view(), name="undo"),
    path("jobs/<int:pk>/pick/", views.PickList.as_view(), name="pick"),
    path("jobs/<int:pk>/pick.pdf", views.PickListPdf.as_view(), name="pick_pdf"),
    path("jobs/<int:pk>/picked/", views.MarkPicked.as_view(), name="picked"),
    path("jobs/<int:pk>/issue/", views.Issue.as_view(), name="issue"),
    path("jobs/<int:pk>/return/", views.BringBack.as_view(), name="return"),
    path("lots/<int:pk>/waste/", views.Waste.as_view(), name="waste"),
    path("lots/<int:pk>/move/", views.Transfer.as_view(), name="transfer"),
    path("places/<int:pk>/count/", views.Count.as_view(), name="count"),
]
