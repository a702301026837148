/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "survey/heard.h"

#include <math.h>

#include "base/units.h"

/* A row that agrees with everything says nearly nothing; a larger variance would only lose digits. */
static const double LARGEST_VARIANCE = 1e8;

/* phi(z) / Phi(z). Far below 0, where both vanish, by the continued fraction of Mills' ratio (Laplace; Abramowitz and
 * Stegun 26.2.14). */
static double hazard(double z)
{
    if (z > -6.0) return exp(-0.5 * z * z) / sqrt(2.0 * ES_PI) / (0.5 * erfc(-z / sqrt(2.0)));
    const double x = -z;
    double fraction = x;
    for (int k = 30; k >= 1; k--) fraction = x + k / fraction;
    return fraction;
}

es_bound es_heard_bound(bool heard, double level_dbm, double bound_dbm, double sigma_db)
{
    const double sign = heard ? 1.0 : -1.0;
    const double z = sign * (level_dbm - bound_dbm) / sigma_db;
    const double h = hazard(z);
    const double curvature = h * (z + h) / (sigma_db * sigma_db); /* -d2 log Phi / d level2 */
    const double variance = fmin(1.0 / curvature, LARGEST_VARIANCE);
    return (es_bound){level_dbm + sign * h / sigma_db * variance, variance};
}
