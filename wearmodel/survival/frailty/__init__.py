"""Vehicles that wear alike: one frailty a vehicle, in closed form."""
