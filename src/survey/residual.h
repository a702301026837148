/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is left after the walls, as a Gaussian process over links. docs/model/residuals.md */
#ifndef ES_RESIDUAL_H
#define ES_RESIDUAL_H

#include "earshot/site.h"
#include "survey/regress.h"

/* A link as the process sees it. */
typedef struct es_link_point {
    earshot_vec3 near, far; /* near: the device or test transmitter; far: the receiver */
    double frequency_hz;
    double sigma_db; /* standard deviation that the model states for itself on this link */
} es_link_point;

/* One row of the regression. The model says what the level is on average over the spot; one reading there differs by
 * fading (one value a place) and by noise (one value a reading). */
typedef struct es_observation {
    es_link_point link;
    size_t place;          /* rows with the same number were read at one spot */
    double place_variance; /* of fading at that spot */
    double variance;       /* of this reading */
    double y;              /* measured, and linear in the parameters */
} es_observation;

typedef struct es_hyper {
    double share;    /* of sigma_db */
    double length_m; /* of the exponential correlation */
} es_hyper;

/* What is taken before any reading, and where there are too few. */
es_hyper es_hyper_prior(void);

/* Covariance between two links of what is left after the walls, dB squared. */
double es_residual_covariance(const es_link_point *a, const es_link_point *b, es_hyper hyper);

/* A solved regression. All arrays are in one block, freed by es_solution_clear. */
typedef struct es_solution {
    size_t n, p;
    double *l;          /* [n][n] lower triangle of the Cholesky factor of C, the covariance of the rows */
    double *theta;      /* [p] */
    double *covariance; /* [p][p] of theta */
    double *alpha;      /* [n] C^-1 (y - X theta) */
    double *cx;         /* [n][p] C^-1 X */
    double *precision;  /* [n][n] of y with theta integrated out: C^-1 - C^-1 X covariance X^T C^-1 */
    double *block;
} es_solution;

/* y = X theta + what is left + fading + noise. x[n][p]; prior as for es_regress. EARSHOT_OK, EARSHOT_MEMORY,
 * EARSHOT_INTERNAL when the covariance is not positive definite. */
earshot_status es_solve(const es_observation *row, const double *x, size_t n, size_t p, const double *prior_mean,
                        const double *prior_sigma, es_hyper hyper, es_solution *solution);
void es_solution_clear(es_solution *solution);

/* Logarithm of the probability of y under these, up to a constant (restricted likelihood where priors are flat). */
earshot_status es_log_likelihood(const es_observation *row, const double *x, size_t n, size_t p,
                                 const double *prior_mean, const double *prior_sigma, es_hyper hyper, double *value);

/* Posterior mean of the logarithms of share and length, over a grid. */
earshot_status es_hyper_estimate(const es_observation *row, const double *x, size_t n, size_t p,
                                 const double *prior_mean, const double *prior_sigma, es_hyper *hyper);

#endif
