from django.urls import path

from stock.catalogue import views

app_name = "catalogue"
urlpatterns = [
    path("", views.Items.as_view(), name="list"),
    path("add/", views.ItemCreate.as_view(), name="create"),
    path("<int:pk>/", views.ItemDetail.as_view(), name="detail"),
    path("<int:pk>/edit/", views.ItemEdit.as_view(), name="edit"),
    path("<int:pk>/archive/", views.ItemArchive.as_view(), name="archive"),
    path("<int:pk>/stand-in/", views.SubstituteAdd.as_view(), name="substitute"),
    path(
        "<int:pk>/stand-in/<int:stand_in>/first/",
        views.SubstituteFirst.as_view(),
        name="substitute_first",
    ),
    path(
        "<int:pk>/stand-in/<int:stand_in>/remove/",
        views.SubstituteRemove.as_view(),
        name="substitute_remove",
    ),
    path("sheet/", views.ItemImport.as_view(), name="import"),
    path("sheet/out/", views.ItemExport.as_view(), name="export"),
    path("blends/sheet/", views.BlendImport.as_view(), name="blend_import"),
    path("blends/sheet/out/", views.BlendExport.as_view(), name="blend_export"),
    path("blends/", views.Blends.as_view(), name="blends"),
    path("blends/add/", views.BlendCreate.as_view(), name="blend_create"),
    path("blends/<int:pk>/", views.BlendCard.as_view(), name="blend"),
    path("blends/<int:pk>/edit/", views.BlendEdit.as_view(), name="blend_edit"),
    path("places/", views.Places.as_view(), name="places"),
    path("places/add/", views.PlaceCreate.as_view(), name="place_create"),
    path("places/<int:pk>/edit/", views.PlaceEdit.as_view(), name="place_edit"),
]
