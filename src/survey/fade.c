/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "survey/fade.h"

#include <gsl/gsl_sf_psi.h>
#include <math.h>

#define DB_PER_NEPER_OF_POWER (10.0 / 2.302585092994045684)

/* Above this the series would only repeat its limit. */
static const double LARGE_K = 60.0;

/* Power P of a Rice signal with mean 1: (1 + K) P is a gamma variable of shape 1 + j, where j is Poisson with mean K
 * (the noncentral chi-square as a mixture). The logarithm of a gamma variable of shape m has mean psi(m) and variance
 * psi'(m). K = 0, Rayleigh: -2.51 dB and 5.57 dB. */
static es_fade by_series(double k)
{
    const int terms = (int)(k + 12.0 * sqrt(k)) + 30;
    double weight = exp(-k), mean = 0.0, square = 0.0;
    for (int j = 0; j < terms; j++) {
        const double m = gsl_sf_psi_int(1 + j);
        mean += weight * m;
        square += weight * (gsl_sf_psi_1_int(1 + j) + m * m);
        weight *= k / (j + 1.0);
    }
    return (es_fade){DB_PER_NEPER_OF_POWER * (mean - log1p(k)), DB_PER_NEPER_OF_POWER * sqrt(square - mean * mean)};
}

es_fade es_fade_of(double rice_k)
{
    if (rice_k <= LARGE_K) return by_series(fmax(0.0, rice_k));
    /* E ln P = ln(K / (1 + K)) + E1(K), whose last term is gone; the variance by Taylor's series in 1 / K. */
    const double variance = 2.0 / rice_k + 1.0 / (rice_k * rice_k);
    return (es_fade){-DB_PER_NEPER_OF_POWER * log1p(1.0 / rice_k), DB_PER_NEPER_OF_POWER * sqrt(variance)};
}
