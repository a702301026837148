/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "survey/regress.h"

#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Of the prior on directions nobody knows, relative to the columns. Weaker than that, and what depends on differences
 * of its variance would drown in rounding. */
static const double WEAK = 1e-3;

/* Columns that are alike to so many digits are the same: numeric slopes have no more. */
static const double SAME = 1e-7;

/* The rows of the data, then one for the prior of each parameter, columns scaled to length 1. */
typedef struct equations {
    size_t n, p; /* rows, parameters */
    double *a, *b, *tau, *norm, *scale, *inverse;
    size_t *order;
} equations;

static void free_equations(equations *s)
{
    free(s->a);
    free(s->order);
}

static bool allocate(equations *s, size_t n, size_t p)
{
    /* One block: a[n][p], b[n], tau, norm, scale [p], inverse[p][p]. Never 0: calloc may then return NULL. */
    *s = (equations){.n = n, .p = p};
    s->a = calloc(n * p + n + 3 * p + p * p + 1, sizeof *s->a);
    s->order = calloc(p + 1, sizeof *s->order);
    if (!s->a || !s->order) return false;
    s->b = s->a + n * p;
    s->tau = s->b + n;
    s->norm = s->tau + p;
    s->scale = s->norm + p;
    s->inverse = s->scale + p;
    return true;
}

static bool is_informative(const double *prior_sigma, size_t j)
{
    return prior_sigma && isfinite(prior_sigma[j]);
}

static void fill(equations *s, const double *x, const double *y, size_t n, const double *prior_mean,
                 const double *prior_sigma)
{
    if (n) memcpy(s->a, x, n * s->p * sizeof *x);
    if (n) memcpy(s->b, y, n * sizeof *y);
    for (size_t j = 0; j < s->p; j++) {
        if (!is_informative(prior_sigma, j)) continue;
        s->a[(n + j) * s->p + j] = 1.0 / prior_sigma[j];
        s->b[n + j] = (prior_mean ? prior_mean[j] : 0.0) / prior_sigma[j];
    }
}

static void scale_columns(equations *s)
{
    for (size_t j = 0; j < s->p; j++) {
        double length = 0.0;
        for (size_t i = 0; i < s->n; i++) length = hypot(length, s->a[i * s->p + j]);
        s->scale[j] = length > 0.0 ? 1.0 / length : 1.0;
        for (size_t i = 0; i < s->n; i++) s->a[i * s->p + j] *= s->scale[j];
    }
}

/* QR of the system in place; what GSL needs of memory is ours, as its own allocation would raise. */
static void decompose(equations *s)
{
    gsl_matrix_view a = gsl_matrix_view_array(s->a, s->n, s->p);
    gsl_vector_view tau = gsl_vector_view_array(s->tau, s->p), norm = gsl_vector_view_array(s->norm, s->p);
    gsl_vector_view b = gsl_vector_view_array(s->b, s->n);
    gsl_permutation order = {.size = s->p, .data = s->order};
    int sign;
    gsl_linalg_QRPT_decomp(&a.matrix, &tau.vector, &order, &sign, &norm.vector);
    gsl_linalg_QR_QTvec(&a.matrix, &tau.vector, &b.vector);
}

static double diagonal(const equations *s, size_t k)
{
    return s->a[k * s->p + k];
}

static size_t find_rank(const equations *s)
{
    size_t rank = 0;
    while (rank < s->p && fabs(diagonal(s, rank)) > SAME * fabs(diagonal(s, 0))) rank++;
    return rank;
}

/* R^-1 above the diagonal, by back substitution. */
static void invert_r(equations *s)
{
    const size_t p = s->p;
    for (size_t column = 0; column < p; column++) {
        for (size_t i = column + 1; i-- > 0;) {
            double sum = i == column ? 1.0 : 0.0;
            for (size_t j = i + 1; j <= column; j++) sum -= s->a[i * p + j] * s->inverse[j * p + column];
            s->inverse[i * p + column] = sum / diagonal(s, i);
        }
    }
}

static void unscale(const equations *s, es_regression *result)
{
    const size_t p = s->p;
    for (size_t i = 0; i < p; i++) {
        double mean = 0.0;
        for (size_t k = i; k < p; k++) mean += s->inverse[i * p + k] * s->b[k];
        result->mean[s->order[i]] = mean * s->scale[s->order[i]];
        for (size_t j = 0; j <= i; j++) {
            double sum = 0.0; /* of R^-1 R^-T */
            for (size_t k = i; k < p; k++) sum += s->inverse[i * p + k] * s->inverse[j * p + k];
            sum *= s->scale[s->order[i]] * s->scale[s->order[j]];
            result->covariance[s->order[i] * p + s->order[j]] = sum;
            result->covariance[s->order[j] * p + s->order[i]] = sum;
        }
    }
}

static void read_off(equations *s, es_regression *result)
{
    invert_r(s);
    unscale(s, result);
    result->rss = 0.0;
    for (size_t i = s->p; i < s->n; i++) result->rss += s->b[i] * s->b[i];
    result->log_r = 0.0;
    for (size_t k = 0; k < s->p; k++) result->log_r += log(fabs(diagonal(s, k))) - log(s->scale[k]);
}

/* Put weak rows in the place of the flat priors. */
static void weaken(equations *s, const double *x, const double *y, size_t n, const double *prior_mean,
                   const double *prior_sigma)
{
    memset(s->a, 0, s->n * s->p * sizeof *s->a);
    memset(s->b, 0, s->n * sizeof *s->b);
    fill(s, x, y, n, prior_mean, prior_sigma);
    scale_columns(s);
    for (size_t j = 0; j < s->p; j++) {
        if (is_informative(prior_sigma, j)) continue;
        s->a[(n + j) * s->p + j] = WEAK;
        s->b[n + j] = (prior_mean ? prior_mean[j] : 0.0) / s->scale[j] * WEAK;
    }
}

earshot_status es_regress(const double *x, const double *y, size_t n, size_t p, const double *prior_mean,
                          const double *prior_sigma, es_regression *result)
{
    equations s;
    if (!allocate(&s, n + p, p)) {
        free_equations(&s);
        return EARSHOT_MEMORY;
    }
    result->rank = p;
    fill(&s, x, y, n, prior_mean, prior_sigma);
    if (p) {
        scale_columns(&s);
        decompose(&s);
        result->rank = find_rank(&s);
    }
    if (result->rank < p) {
        weaken(&s, x, y, n, prior_mean, prior_sigma);
        decompose(&s);
    }
    read_off(&s, result);
    free_equations(&s);
    return EARSHOT_OK;
}
