/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How large what is left after the walls is, and over which distance it stays alike. */
#include <math.h>
#include <stdlib.h>

#include "survey/residual.h"

/* The grid: logarithms of the share and of the length in steps. The fields of docs/model/residuals.md had shares of 0.3
 * to 1.0 and lengths of 0.3 to 2.3 m; furnished buildings may have more of both. */
enum { SHARES = 9, LENGTHS = 7 };
static const double SHARE_STEP = 0.25, LENGTH_STEP = 0.5;

/* Standard deviations of the priors, which are normal in the logarithms: the values above within two of them. */
static const double SHARE_DOUBT = 0.4, LENGTH_DOUBT = 0.6;

/* The grid costs 63 factorisations; of more rows every k-th is taken. */
enum { MOST_ROWS = 200 };

typedef struct sample {
    es_observation *row;
    double *x;
    size_t n, p;
} sample;

static bool take_sample(const es_observation *row, const double *x, size_t n, size_t p, sample *s)
{
    const size_t step = (n + MOST_ROWS - 1) / MOST_ROWS;
    s->p = p;
    s->n = 0;
    s->row = calloc(n + 1, sizeof *s->row);
    s->x = calloc(n * p + 1, sizeof *s->x);
    if (!s->row || !s->x) return false;
    for (size_t i = 0; i < n; i += step) {
        s->row[s->n] = row[i];
        for (size_t j = 0; j < p; j++) s->x[s->n * p + j] = x[i * p + j];
        s->n++;
    }
    return true;
}

static es_hyper at(int share, int length)
{
    const es_hyper prior = es_hyper_prior();
    return (es_hyper){prior.share * exp(SHARE_STEP * (share - SHARES / 2)),
                      prior.length_m * exp(LENGTH_STEP * (length - LENGTHS / 2))};
}

static double log_prior(int share, int length)
{
    const double s = SHARE_STEP * (share - SHARES / 2) / SHARE_DOUBT;
    const double d = LENGTH_STEP * (length - LENGTHS / 2) / LENGTH_DOUBT;
    return -0.5 * (s * s + d * d);
}

static earshot_status fill_grid(const sample *s, const double *prior_mean, const double *prior_sigma,
                                double grid[SHARES][LENGTHS], double *largest)
{
    *largest = -INFINITY;
    for (int i = 0; i < SHARES; i++) {
        for (int j = 0; j < LENGTHS; j++) {
            const earshot_status status =
                es_log_likelihood(s->row, s->x, s->n, s->p, prior_mean, prior_sigma, at(i, j), &grid[i][j]);
            if (status) return status;
            grid[i][j] += log_prior(i, j);
            *largest = fmax(*largest, grid[i][j]);
        }
    }
    return EARSHOT_OK;
}

earshot_status es_hyper_estimate(const es_observation *row, const double *x, size_t n, size_t p,
                                 const double *prior_mean, const double *prior_sigma, es_hyper *hyper)
{
    sample s = {0};
    double grid[SHARES][LENGTHS], largest;
    earshot_status status = take_sample(row, x, n, p, &s) ? EARSHOT_OK : EARSHOT_MEMORY;
    if (!status) status = fill_grid(&s, prior_mean, prior_sigma, grid, &largest);
    free(s.row);
    free(s.x);
    if (status) return status;
    double total = 0.0, share = 0.0, length = 0.0;
    for (int i = 0; i < SHARES; i++) {
        for (int j = 0; j < LENGTHS; j++) {
            const double weight = exp(grid[i][j] - largest);
            total += weight;
            share += weight * log(at(i, j).share);
            length += weight * log(at(i, j).length_m);
        }
    }
    *hyper = (es_hyper){exp(share / total), exp(length / total)};
    return EARSHOT_OK;
}
