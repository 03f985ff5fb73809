/*
 * steel.c - properties of carbon steel and heat taken up per area. See steel.h.
 */
#include "assess/heat/steel.h"

#include <math.h>

double mr_steel_heat(double steel_c) {
    double t = fmin(fmax(steel_c, 20.0), 1200.0);
    if (t < 600.0)
        return 425.0 + t * (7.73e-1 + t * (-1.69e-3 + t * 2.22e-6));
    if (t < 735.0)
        return 666.0 + 13002.0 / (738.0 - t);
    if (t < 900.0)
        return 545.0 + 17820.0 / (t - 731.0);
    return 650.0;
}

double mr_steel_capacity(double steel_mm, double steel_c) {
    return steel_mm * 1e-3 * MR_STEEL_DENSITY * mr_steel_heat(steel_c);
}

double mr_film_capacity(double film_um, double density, double heat) {
    return film_um * 1e-6 * density * heat;
}
