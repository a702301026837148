/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Covariances between links, and the regression with them. */
#include "survey/residual.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "survey/matrix.h"

/* The direct model's errors on six full-wave fields at two bands, over the standard deviation that it states: 0.8 of
 * it; alike over 1.3 m (correlation 0.70, 0.44, 0.18 at 0.5, 1.1, 2.1 m); 0.56 between 434 and 868 MHz at one place.
 * docs/model/residuals.md. A share of 1 keeps the stated value where nothing else is known. */
static const double PRIOR_SHARE = 1.0, PRIOR_LENGTH_M = 1.3;
static const double OTHER_BAND = 0.5;
static const double SAME_BAND_HZ = 2e6;

es_hyper es_hyper_prior(void)
{
    return (es_hyper){PRIOR_SHARE, PRIOR_LENGTH_M};
}

static double distance_m(earshot_vec3 a, earshot_vec3 b)
{
    return hypot(hypot(a.x_m - b.x_m, a.y_m - b.y_m), a.z_m - b.z_m);
}

/* Exponential correlation of shadowing over distance: M. Gudmundson, Electronics Letters 27 (1991) 2145-2146 (form from
 * memory), for each end of the link. */
double es_residual_covariance(const es_link_point *a, const es_link_point *b, es_hyper hyper)
{
    const double apart_m = distance_m(a->near, b->near) + distance_m(a->far, b->far);
    const double band = fabs(a->frequency_hz - b->frequency_hz) > SAME_BAND_HZ ? OTHER_BAND : 1.0;
    return hyper.share * hyper.share * a->sigma_db * b->sigma_db * band * exp(-apart_m / hyper.length_m);
}

static double row_covariance(const es_observation *row, size_t i, size_t j, es_hyper hyper)
{
    double c = es_residual_covariance(&row[i].link, &row[j].link, hyper);
    if (row[i].place == row[j].place) c += sqrt(row[i].place_variance * row[j].place_variance);
    if (i == j) c += row[i].variance;
    return c;
}

static bool factorise(const es_observation *row, size_t n, es_hyper hyper, double *l)
{
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j <= i; j++) l[i * n + j] = row_covariance(row, i, j, hyper);
    return es_cholesky(l, n);
}

/* Rows divided by the Cholesky factor have independent errors of standard deviation 1. column[n] is used. */
static void whiten(const double *l, const es_observation *row, const double *x, size_t n, size_t p, double *wx,
                   double *wy, double *column)
{
    for (size_t i = 0; i < n; i++) wy[i] = row[i].y;
    es_solve_lower(l, n, wy);
    for (size_t j = 0; j < p; j++) {
        for (size_t i = 0; i < n; i++) column[i] = x[i * p + j];
        es_solve_lower(l, n, column);
        for (size_t i = 0; i < n; i++) wx[i * p + j] = column[i];
    }
}

/* ---- solving ---- */

void es_solution_clear(es_solution *solution)
{
    free(solution->block);
    *solution = (es_solution){0};
}

static bool allocate(es_solution *s, size_t n, size_t p)
{
    *s = (es_solution){.n = n, .p = p};
    s->block = calloc(2 * n * n + n + n * p + p + p * p + 1, sizeof *s->block);
    if (!s->block) return false;
    s->l = s->block;
    s->precision = s->l + n * n;
    s->alpha = s->precision + n * n;
    s->cx = s->alpha + n;
    s->theta = s->cx + n * p;
    s->covariance = s->theta + p;
    return true;
}

static void fill_alpha(es_solution *s, const es_observation *row, const double *x)
{
    for (size_t i = 0; i < s->n; i++) s->alpha[i] = row[i].y - es_dot(x + i * s->p, s->theta, s->p);
    es_solve_lower(s->l, s->n, s->alpha);
    es_solve_upper(s->l, s->n, s->alpha);
}

/* work[n] and cy[p] are used. */
static void fill_precision(es_solution *s, const double *x, double *work)
{
    const size_t n = s->n, p = s->p;
    es_cholesky_inverse(s->l, n, s->precision, work);
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < p; j++) {
            double sum = 0.0;
            for (size_t k = 0; k < n; k++) sum += s->precision[i * n + k] * x[k * p + j];
            s->cx[i * p + j] = sum;
        }
    for (size_t i = 0; i < n; i++) {
        for (size_t j = 0; j < p; j++) work[j] = es_dot(s->cx + i * p, s->covariance + j * p, p);
        for (size_t k = 0; k < n; k++) s->precision[i * n + k] -= es_dot(work, s->cx + k * p, p);
    }
}

static earshot_status solve(es_solution *s, const es_observation *row, const double *x, const double *prior_mean,
                            const double *prior_sigma, es_hyper hyper, double *work)
{
    const size_t n = s->n, p = s->p;
    double *wx = work, *wy = wx + n * p, *spare = wy + n;
    es_regression found = {.mean = s->theta, .covariance = s->covariance};
    if (!factorise(row, n, hyper, s->l)) return EARSHOT_INTERNAL;
    whiten(s->l, row, x, n, p, wx, wy, spare);
    const earshot_status status = es_regress(wx, wy, n, p, prior_mean, prior_sigma, &found);
    if (status) return status;
    fill_alpha(s, row, x);
    fill_precision(s, x, spare);
    return EARSHOT_OK;
}

earshot_status es_solve(const es_observation *row, const double *x, size_t n, size_t p, const double *prior_mean,
                        const double *prior_sigma, es_hyper hyper, es_solution *solution)
{
    double *work = calloc(n * p + 2 * n + p + 1, sizeof *work);
    const bool made = allocate(solution, n, p);
    const earshot_status status =
        work && made ? solve(solution, row, x, prior_mean, prior_sigma, hyper, work) : EARSHOT_MEMORY;
    free(work);
    if (status) es_solution_clear(solution);
    return status;
}

/* ---- likelihood ---- */

earshot_status es_log_likelihood(const es_observation *row, const double *x, size_t n, size_t p,
                                 const double *prior_mean, const double *prior_sigma, es_hyper hyper, double *value)
{
    double *work = calloc(n * n + n * p + 2 * n + p + p * p + 1, sizeof *work);
    if (!work) return EARSHOT_MEMORY;
    double *l = work, *wx = l + n * n, *wy = wx + n * p, *spare = wy + n;
    es_regression found = {.mean = spare + n, .covariance = spare + n + p};
    earshot_status status = factorise(row, n, hyper, l) ? EARSHOT_OK : EARSHOT_INTERNAL;
    if (!status) {
        whiten(l, row, x, n, p, wx, wy, spare);
        status = es_regress(wx, wy, n, p, prior_mean, prior_sigma, &found);
    }
    if (!status) *value = -0.5 * found.rss - es_cholesky_log(l, n) - found.log_r;
    free(work);
    return status;
}
