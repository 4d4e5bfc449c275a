"""Addresses of the store and of stocktakes."""

from django.urls import path

from ledger.phone.shell import kept_page
from vouchers.stocktake import views as stocktake
from vouchers.store import views as store

urlpatterns = [
    path("store/", store.store, name="store"),
    path("store/new/", store.new_place, name="new-place"),
    path("store/move/", store.move, name="store-move"),
    path("store/read/", store.read, name="store-read"),
    path("store/<int:number>/", store.place, name="store-place"),
    path("store/<int:number>/change/", store.change_place, name="change-place"),
    path("store/<int:number>/move/", store.move_place, name="move-place"),
    path("store/<int:number>/close/", store.close_place, name="close-place"),
    path("stocktake/", stocktake.stocktakes, name="stocktakes"),
    path("stocktake/walk/", kept_page, {"name": "stocktake-walk"}, name="stocktake-walk"),
    path("stocktake/<int:stocktake_id>/", stocktake.stocktake, name="stocktake"),
    path("stocktake/<int:stocktake_id>.json", stocktake.for_phone_json, name="stocktake-json"),
    path("stocktake/<int:stocktake_id>/sightings", stocktake.sightings, name="stocktake-sightings"),
    path("stocktake/<int:stocktake_id>/typed/", stocktake.type_sightings, name="type-sightings"),
    path("stocktake/<int:stocktake_id>/settle/", stocktake.settle, name="settle-difference"),
    path("stocktake/<int:stocktake_id>/sign-off/", stocktake.sign_off, name="sign-off-stocktake"),
    path("stocktake/<int:stocktake_id>/give-up/", stocktake.give_up, name="give-up-stocktake"),
]
