/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "survey/robust.h"

#include <math.h>
#include <stdlib.h>

#include "survey/matrix.h"

/* A device behind a radiator, a wall that the plan does not have, a reading of another device: our judgement, no
 * source. The mixture of two normals is J. W. Tukey's contaminated normal (1960; from memory). */
static const double WILD_SHARE = 0.05, WILD_DB = 20.0;

static const double NOTHING_SAID = 1e-5; /* precision, 1/dB2: known to 300 dB is not known */

/* With Q the precision of y, the residuals of a block left out are Q_ss^-1 alpha_s and their covariance is Q_ss^-1: the
 * conditional normal of the block given the rest. */
typedef struct block {
    size_t n;
    size_t *row;
    double *l, *inverse, *work; /* [n][n], [n][n], [n] */
} block;

static bool gather(const es_observation *row, size_t n, size_t place, block *b)
{
    b->n = 0;
    for (size_t i = 0; i < n; i++)
        if (row[i].place == place) b->row[b->n++] = i;
    return b->n > 0;
}

/* Without a prior the rest may say nothing at all of a place: its block is then singular but for rounding. */
static bool factorise(const es_solution *s, block *b)
{
    for (size_t i = 0; i < b->n; i++) {
        for (size_t j = 0; j <= i; j++) b->l[i * b->n + j] = s->precision[b->row[i] * s->n + b->row[j]];
        if (!(b->l[i * b->n + i] > NOTHING_SAID)) return false;
    }
    return es_cholesky(b->l, b->n);
}

static void leave_out_block(const es_solution *s, const es_observation *row, const double *sound_variance, block *b,
                            es_left_out *left)
{
    if (!factorise(s, b)) {
        for (size_t i = 0; i < b->n; i++) left[b->row[i]] = (es_left_out){0.0, INFINITY};
        return;
    }
    es_cholesky_inverse(b->l, b->n, b->inverse, b->work);
    for (size_t i = 0; i < b->n; i++) {
        const size_t at = b->row[i];
        double residual = 0.0;
        for (size_t j = 0; j < b->n; j++) residual += b->inverse[i * b->n + j] * s->alpha[b->row[j]];
        const double variance = b->inverse[i * b->n + i] - row[at].place_variance + sound_variance[at];
        left[at] = (es_left_out){residual, sqrt(fmax(variance, sound_variance[at]))};
    }
}

earshot_status es_leave_out(const es_solution *solution, const es_observation *row, const double *sound_variance,
                            es_left_out *left)
{
    const size_t n = solution->n;
    block b = {.row = calloc(n + 1, sizeof *b.row)};
    b.l = calloc(2 * n * n + n + 1, sizeof *b.l);
    const earshot_status status = b.row && b.l ? EARSHOT_OK : EARSHOT_MEMORY;
    for (size_t place = 0; place < n && !status; place++) {
        if (!gather(row, n, place, &b)) break;
        b.inverse = b.l + b.n * b.n;
        b.work = b.inverse + b.n * b.n;
        leave_out_block(solution, row, sound_variance, &b, left);
    }
    free(b.row);
    free(b.l);
    return status;
}

static double density(double residual, double variance)
{
    return exp(-0.5 * residual * residual / variance) / sqrt(variance);
}

double es_trust(double residual_db, double sigma_db)
{
    if (isinf(sigma_db)) return 1.0; /* nothing to hold it against */
    const double sound = sigma_db * sigma_db, wild = sound + WILD_DB * WILD_DB;
    const double s = (1.0 - WILD_SHARE) * density(residual_db, sound);
    return s / (s + WILD_SHARE * density(residual_db, wild));
}

/* The mean of the two precisions, each as likely as the trust says. */
double es_distrusted(double sound_variance, double trust)
{
    return 1.0 / (trust / sound_variance + (1.0 - trust) / (sound_variance + WILD_DB * WILD_DB));
}
