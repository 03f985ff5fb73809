/*
 * units.h - every unit that milrise reads or shows, and every conversion factor, each exact by definition.
 *
 * Inside, a quantity always stands in the canonical unit of its dimension, and the canonical unit ends the name:
 * film `_um`, temperature `_c`, temperature difference `_k`, pressure `_kpa`, share `_pct`, area `_m2`,
 * length `_mm`, volume `_l`, mass `_kg`, duration `_s`.
 * A difference is never converted as a temperature: a rise of 9 degF is 5 K.
 *
 * Sources: inch 25.4 mm, pound 0.45359237 kg (international yard and pound agreement, 1959); US gallon 231 in3;
 * kilogram-force 9.80665 N; degF by definition; psi from the pound-force 4.4482216152605 N; bar 100 kPa; conventional
 * mmHg 133.322387415 Pa and inHg 25.4 times that.
 */
#ifndef MILRISE_UNITS_H
#define MILRISE_UNITS_H

#include "milrise/base.h"

enum mr_dim {
    MR_DIM_NONE,
    MR_DIM_FILM,     /* canonical µm */
    MR_DIM_TEMP,     /* canonical °C */
    MR_DIM_RISE,     /* temperature difference, canonical K */
    MR_DIM_PRESSURE, /* canonical kPa, gauge */
    MR_DIM_SHARE,    /* canonical % */
    MR_DIM_AREA,     /* canonical m2 */
    MR_DIM_LENGTH,   /* canonical mm */
    MR_DIM_VOLUME,   /* canonical L */
    MR_DIM_MASS,     /* canonical kg */
    MR_DIM_DURATION, /* canonical s */
};

/* id, dimension, symbol, canonical = (written - zero) * factor */
#define MR_UNIT_LIST(X)                                                                                              \
    X(MR_UNIT_NONE, MR_DIM_NONE, "", 1.0, 0.0)                                                                       \
    X(MR_UNIT_UM, MR_DIM_FILM, "µm", 1.0, 0.0)                                                                       \
    X(MR_UNIT_MIL, MR_DIM_FILM, "mil", 25.4, 0.0)                                                                    \
    X(MR_UNIT_FILM_MM, MR_DIM_FILM, "mm", 1000.0, 0.0)                                                               \
    X(MR_UNIT_FILM_IN, MR_DIM_FILM, "in", 25400.0, 0.0)                                                              \
    X(MR_UNIT_C, MR_DIM_TEMP, "°C", 1.0, 0.0)                                                                        \
    X(MR_UNIT_F, MR_DIM_TEMP, "°F", 5.0 / 9.0, 32.0)                                                                 \
    X(MR_UNIT_K, MR_DIM_TEMP, "K", 1.0, 273.15)                                                                      \
    X(MR_UNIT_RISE_K, MR_DIM_RISE, "K", 1.0, 0.0)                                                                    \
    X(MR_UNIT_RISE_C, MR_DIM_RISE, "°C", 1.0, 0.0)                                                                   \
    X(MR_UNIT_RISE_F, MR_DIM_RISE, "°F", 5.0 / 9.0, 0.0)                                                             \
    X(MR_UNIT_KPA, MR_DIM_PRESSURE, "kPa", 1.0, 0.0)                                                                 \
    X(MR_UNIT_PSI, MR_DIM_PRESSURE, "psi", 6.894757293168361, 0.0)                                                   \
    X(MR_UNIT_BAR, MR_DIM_PRESSURE, "bar", 100.0, 0.0)                                                               \
    X(MR_UNIT_MPA, MR_DIM_PRESSURE, "MPa", 1000.0, 0.0)                                                              \
    X(MR_UNIT_HPA, MR_DIM_PRESSURE, "hPa", 0.1, 0.0)                                                                 \
    X(MR_UNIT_PA, MR_DIM_PRESSURE, "Pa", 0.001, 0.0)                                                                 \
    X(MR_UNIT_MMHG, MR_DIM_PRESSURE, "mmHg", 0.133322387415, 0.0)                                                    \
    X(MR_UNIT_INHG, MR_DIM_PRESSURE, "inHg", 3.386388640341, 0.0)                                                    \
    X(MR_UNIT_KGFCM2, MR_DIM_PRESSURE, "kgf/cm2", 98.0665, 0.0)                                                      \
    X(MR_UNIT_PCT, MR_DIM_SHARE, "%", 1.0, 0.0)                                                                      \
    X(MR_UNIT_FRACTION, MR_DIM_SHARE, "fraction", 100.0, 0.0)                                                        \
    X(MR_UNIT_M2, MR_DIM_AREA, "m2", 1.0, 0.0)                                                                       \
    X(MR_UNIT_FT2, MR_DIM_AREA, "ft2", 0.09290304, 0.0)                                                              \
    X(MR_UNIT_MM, MR_DIM_LENGTH, "mm", 1.0, 0.0)                                                                     \
    X(MR_UNIT_CM, MR_DIM_LENGTH, "cm", 10.0, 0.0)                                                                    \
    X(MR_UNIT_M, MR_DIM_LENGTH, "m", 1000.0, 0.0)                                                                    \
    X(MR_UNIT_IN, MR_DIM_LENGTH, "in", 25.4, 0.0)                                                                    \
    X(MR_UNIT_FT, MR_DIM_LENGTH, "ft", 304.8, 0.0)                                                                   \
    X(MR_UNIT_L, MR_DIM_VOLUME, "L", 1.0, 0.0)                                                                       \
    X(MR_UNIT_ML, MR_DIM_VOLUME, "mL", 0.001, 0.0)                                                                   \
    X(MR_UNIT_GAL, MR_DIM_VOLUME, "gal", 3.785411784, 0.0)                                                           \
    X(MR_UNIT_KG, MR_DIM_MASS, "kg", 1.0, 0.0)                                                                       \
    X(MR_UNIT_G, MR_DIM_MASS, "g", 0.001, 0.0)                                                                       \
    X(MR_UNIT_LB, MR_DIM_MASS, "lb", 0.45359237, 0.0)                                                                \
    X(MR_UNIT_MS, MR_DIM_DURATION, "ms", 0.001, 0.0)                                                                 \
    X(MR_UNIT_S, MR_DIM_DURATION, "s", 1.0, 0.0)                                                                     \
    X(MR_UNIT_MIN, MR_DIM_DURATION, "min", 60.0, 0.0)                                                                \
    X(MR_UNIT_H, MR_DIM_DURATION, "h", 3600.0, 0.0)                                                                  \
    X(MR_UNIT_DAY, MR_DIM_DURATION, "d", 86400.0, 0.0)

enum mr_unit {
#define MR_UNIT_NAME(id, dim, symbol, factor, zero) id,
    MR_UNIT_LIST(MR_UNIT_NAME)
#undef MR_UNIT_NAME
};

/** mr_unit_parse - the unit of dimension dim that text (n bytes) names; case, blanks, dots, brackets and the ways
 *  of writing µ, °, ² do not matter ("um", "μm", "micron", "deg F", "sq ft" ...).
 *  Returns: true and *out, or false and *out untouched. */
bool mr_unit_parse(const char *text, size_t n, enum mr_dim dim, enum mr_unit *out);

/** mr_unit_find - as mr_unit_parse with any dimension; where one spelling serves two (mm, in, K, °C) the film,
 *  then the temperature wins. Meant for headers, where the column's words decide the dimension afterwards. */
bool mr_unit_find(const char *text, size_t n, enum mr_unit *out);

double mr_to_canonical(enum mr_unit unit, double written);
double mr_from_canonical(enum mr_unit unit, double canonical);
enum mr_dim mr_unit_dim(enum mr_unit unit);
enum mr_unit mr_dim_canonical(enum mr_dim dim);
const char *mr_unit_symbol(enum mr_unit unit); /* static UTF-8 text */

/* The units a job's figures are shown in. */
struct mr_display {
    enum mr_unit film, temp, rise, pressure, area, length, volume, mass;
};

#endif
