/*
 * steel.h - what steel behind a film does with heat: EN 1993-1-2:2005, 3.4.1.2 (specific heat).
 *
 * Pure functions of the steel temperature in °C. The clauses begin at 20 °C; below that the value at 20 °C holds
 * (steel changes by less than 0.1 % per kelvin there).
 */
#ifndef MILRISE_ASSESS_HEAT_STEEL_H
#define MILRISE_ASSESS_HEAT_STEEL_H

/* kg/m3, EN 1993-1-2, 3.2.2 (from memory) */
#define MR_STEEL_DENSITY 7850.0

/** mr_steel_heat - specific heat in J/(kg K), 20 to 1200 °C (held beyond). */
double mr_steel_heat(double steel_c);

/** mr_steel_capacity - heat that one m2 of plate takes up per kelvin, J/(m2 K). steel_mm: thickness. */
double mr_steel_capacity(double steel_mm, double steel_c);

/** mr_film_capacity - the same for a film, J/(m2 K). density kg/m3, heat J/(kg K). */
double mr_film_capacity(double film_um, double density, double heat);

#endif
