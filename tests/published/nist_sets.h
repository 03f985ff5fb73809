/*
 * nist_sets.h - published data sets, typed as numbers; each array names where it stands.
 */
#ifndef MILRISE_TEST_NIST_SETS_H
#define MILRISE_TEST_NIST_SETS_H

extern const double nist_lew[200];         /* NIST StRD univariate, Lew */
extern const double nist_lottery[218];     /* NIST StRD univariate, Lottery */
extern const double nist_mavro[50];        /* NIST StRD univariate, Mavro */
extern const double nist_michelso[100];    /* NIST StRD univariate, Michelso */
extern const double nist_zarr13[195];      /* NIST/SEMATECH e-Handbook 1.4.2.8, heat flow meter */
extern const double nist_furnace[168];     /* NIST/SEMATECH e-Handbook 3.5.1, furnace: 21 runs of 4 zones of 2 wafers,
                                              film     thickness in angstrom */
extern const double nist_silicon[100];     /* NIST Dataplot, SILICON: 20 groups of 5 */
extern const double nist_spagon1[16];      /* NIST Dataplot, SPAGON1 */
extern const double nist_spagon2[16];      /* NIST Dataplot, SPAGON2 */
extern const double nist_natr21[10];       /* NIST Dataplot, NATR21 */
extern const double nist_nels6[30];        /* NIST Dataplot, NELS6 */
extern const double nist_compare716[90];   /* NIST/SEMATECH e-Handbook 7.1.6 */
extern const double nist_rosner54[54];     /* NIST/SEMATECH e-Handbook 1.3.5.17.3; Rosner (1983) */
extern const double nist_percentile12[12]; /* NIST/SEMATECH e-Handbook 7.2.6.2 */
extern const double nist_grubbs8[8];       /* NIST/SEMATECH e-Handbook 1.3.5.17.1 */
extern const char nist_pidigits[5001];     /* NIST StRD univariate, PiDigits: 5000 digits, one character each */

#endif
