"""Physics as plain functions on numbers and arrays: kinetics, viscosity, glass transition, thermocouples, leaks, decisions."""
