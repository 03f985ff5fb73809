/*
 * disturbance.h - what the weather does to a plate's temperature, as a process with memory.
 *
 * Sun through cloud, gusts and shadows are a flux into the steel that wanders over minutes; the steel gathers it and
 * loses it again with its cooling constant. So a probe's doubt over the length of a pulse is many times that of white
 * noise. The flux is taken as a first-order (Ornstein-Uhlenbeck) process, the steel as a first-order store behind it,
 * the reading as white noise on top:
 *
 *     dx/dt = -loss x + f,   df/dt = -rate f + white,   reading = x + noise
 *
 * Whitening with the Kalman filter of this model gives the exact Gaussian likelihood in one pass, at uneven distances
 * too, so that generalised least squares becomes ordinary least squares on whitened columns.
 *
 * Source: R. E. Kalman, J. Basic Eng. 82 (1960) 35; A. C. Harvey, Forecasting, structural time series models and the
 * Kalman filter (1989), section 3.4 (from memory).
 */
#ifndef MILRISE_ASSESS_HEAT_DISTURBANCE_H
#define MILRISE_ASSESS_HEAT_DISTURBANCE_H

#include <stddef.h>

struct mr_disturbance {
    double
        flux; /* standard deviation of f in K/s, over that of the noise of a usual bin in K; 0 = white noise alone */
    double rate; /* per s: 1 / time of correlation */
    double loss; /* per s: 1 / cooling constant of the steel */
};

/** mr_whiten - columns that follow the model become white with the variance of the noise.
 *
 *  t_s      rising, shape: n; weight: of each sample (variance of the noise over it), shape: n
 *  rows     in/out, shape: n × columns, row by row
 *  Returns: the logarithm of the determinant of the covariance over the noise. */
double mr_whiten(const struct mr_disturbance *d, size_t n, const double *t_s, const double *weight, size_t columns,
                 double *rows);

#endif
