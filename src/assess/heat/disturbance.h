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

#include <stdbool.h>
#include <stddef.h>

/* Functions that take twice as many numbers at a time where the processor can (AVX2). Each sum keeps its order, so
 * that the results are the same to the last bit. Sanitizers start too late for a function that is chosen when the
 * program is loaded. */
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__) && !defined(__SANITIZE_ADDRESS__)
#define MR_WIDE __attribute__((target_clones("avx2", "default")))
#else
#define MR_WIDE
#endif

struct mr_disturbance {
    double
        flux; /* standard deviation of f in K/s, over that of the noise of a usual bin in K; 0 = white noise alone */
    double rate; /* per s: 1 / time of correlation */
    double loss; /* per s: 1 / cooling constant of the steel */
    double own;  /* the flux wanders sqrt(1 + (own excess)^2) times as much; 0: everywhere the same */
};

/* The filter of one weather at given moments: made once, then every column costs a few products a row. */
struct mr_whitener {
    size_t n;
    bool memory;               /* the weather has some; else only `root` counts */
    double log_det;            /* of the covariance over the noise */
    struct mr_whiten_row *row; /* shape: n */
};

struct mr_whiten_row { /* what a sample adds, and what the next one is then expected to be */
    double root;       /* 1 / standard deviation of the sample about what was expected */
    double xx, xf, x;  /* next level from level, flux and sample */
    double fx, ff, f;  /* next flux likewise */
};

/** mr_whitener_set - the filter for n moments.
 *
 *  t_s     rising, shape: n; weight: of each sample (variance of the noise over it), shape: n
 *  excess  the pulses' own heat over their greatest, shape: n; read only where own > 0
 *  w       its rows are the caller's, shape: n */
void mr_whitener_set(const struct mr_disturbance *d, size_t n, const double *t_s, const double *weight,
                     const double *excess, struct mr_whitener *w);

/** mr_whiten - columns that follow the model become white with the variance of the noise.
 *
 *  from     all columns are 0 before this sample
 *  columns  in/out, one column after the other, each w->n long, `stride` apart */
void mr_whiten(const struct mr_whitener *w, size_t from, size_t n_columns, size_t stride, double *columns);

#endif
