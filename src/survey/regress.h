/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Linear regression with a normal prior, or without one. docs/model/calibrate.md */
#ifndef ES_REGRESS_H
#define ES_REGRESS_H

#include "earshot/error.h"

typedef struct es_regression {
    double *mean;       /* [p] caller's memory */
    double *covariance; /* [p][p] caller's memory: for errors of standard deviation 1 */
    double rss;         /* sum of squares left, prior rows included */
    double log_r;       /* logarithm of |det R| of the rows and the prior: half that of the precision's determinant */
    size_t rank;        /* below p: the data, with the prior, say nothing about some direction */
} es_regression;

/* y = X theta + errors that are independent with standard deviation 1, theta_j ~ N(prior_mean_j, prior_sigma_j); a
 * prior_sigma of INFINITY is a flat prior. Householder QR with column pivoting on scaled columns. Where neither data
 * nor prior say anything, the direction is kept near the prior mean by a prior a thousand times wider than the rest, so
 * that its variance comes out as large as that. x[n][p], y[n] finite; prior_mean, prior_sigma [p] or NULL for all flat.
 * n + p at least 1. EARSHOT_OK, EARSHOT_MEMORY. */
earshot_status es_regress(const double *x, const double *y, size_t n, size_t p, const double *prior_mean,
                          const double *prior_sigma, es_regression *result);

#endif
