"""Addresses of orders."""

from django.urls import path

from stock.ordering import views

app_name = "ordering"
urlpatterns = [
    path("", views.Orders.as_view(), name="list"),
    path("clock/", views.Clock.as_view(), name="clock"),
    path("short/", views.Shortages.as_view(), name="shortages"),
    path("reminders/", views.Reminders.as_view(), name="reminders"),
    path("goods-in/", views.Deliveries.as_view(), name="deliveries"),
    path("goods-in/<int:pk>/", views.Delivery.as_view(), name="delivery"),
    path("goods-in/<int:pk>/undo/", views.UndoDelivery.as_view(), name="undo_delivery"),
    path("goods-in/<int:pk>/photos/", views.AddPhotos.as_view(), name="photos"),
    path("draft/", views.DraftFromShortages.as_view(), name="draft"),
    path("new/", views.StartOrder.as_view(), name="create"),
    path("<int:pk>/", views.OrderPage.as_view(), name="detail"),
    path("<int:pk>/place/", views.PlaceOrder.as_view(), name="place"),
    path("<int:pk>/place-anyway/", views.PlaceAnyway.as_view(), name="place_anyway"),
    path("<int:pk>/confirm/", views.ConfirmOrder.as_view(), name="confirm"),
    path("<int:pk>/cancel/", views.CancelOrder.as_view(), name="cancel"),
    path("<int:pk>/delete/", views.DeleteDraft.as_view(), name="delete"),
    path("<int:pk>/receive/", views.ReceiveOrder.as_view(), name="receive"),
    path("<int:pk>/lines/new/", views.AddLine.as_view(), name="add_line"),
    path("<int:pk>/lines/<int:line>/", views.ChangeLine.as_view(), name="change_line"),
    path("<int:pk>/lines/<int:line>/remove/", views.RemoveLine.as_view(), name="remove_line"),
]
