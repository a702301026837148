/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "survey/separate.h"

#include <gsl/gsl_eigen.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>

/* An eigenvalue of the columns' Gram matrix, columns of length 1, below which a direction is not seen: two materials
 * that part in one reading of a hundred are seen. */
static const double UNSEEN = 0.005;
static const double TIED = 0.1; /* entry of the projection on what is not seen that ties two columns */

double es_column_length(const double *x, size_t n, size_t p, size_t a)
{
    double sum = 0.0;
    for (size_t i = 0; i < n; i++) sum += x[i * p + a] * x[i * p + a];
    return sqrt(sum);
}

double es_column_cosine(const double *x, size_t n, size_t p, size_t a, size_t b)
{
    const double lengths = es_column_length(x, n, p, a) * es_column_length(x, n, p, b);
    double sum = 0.0;
    for (size_t i = 0; i < n; i++) sum += x[i * p + a] * x[i * p + b];
    return lengths > 0.0 ? fabs(sum) / lengths : 0.0;
}

static double cosine_signed(const double *x, size_t n, size_t p, size_t a, size_t b)
{
    double sum = 0.0;
    for (size_t i = 0; i < n; i++) sum += x[i * p + a] * x[i * p + b];
    return sum / (es_column_length(x, n, p, a) * es_column_length(x, n, p, b));
}

/* A column of zeros is no unseen direction of interest: it is given one of its own that is seen. */
static void fill_gram(const double *x, size_t n, size_t p, double *gram)
{
    for (size_t a = 0; a < p; a++) {
        for (size_t b = 0; b < p; b++) {
            const bool zero = es_column_length(x, n, p, a) == 0.0 || es_column_length(x, n, p, b) == 0.0;
            gram[a * p + b] = a == b ? 1.0 : zero ? 0.0 : cosine_signed(x, n, p, a, b);
        }
    }
}

/* GSL allocates a work space through its error handler; its struct is public, so the memory is ours. */
static void decompose(double *gram, size_t p, double *value, double *vector, double *work)
{
    gsl_matrix_view a = gsl_matrix_view_array(gram, p, p), v = gsl_matrix_view_array(vector, p, p);
    gsl_vector_view e = gsl_vector_view_array(value, p);
    gsl_eigen_symmv_workspace space = {.size = p, .d = work, .sd = work + p, .gc = work + 2 * p, .gs = work + 3 * p};
    gsl_eigen_symmv(&a.matrix, &e.vector, &v.matrix, &space);
}

static double projection(const double *value, const double *vector, size_t p, size_t a, size_t b)
{
    double sum = 0.0;
    for (size_t k = 0; k < p; k++)
        if (value[k] < UNSEEN) sum += vector[a * p + k] * vector[b * p + k];
    return sum;
}

/* Everything tied to `first`, and what is tied to that. */
static void spread_group(const double *value, const double *vector, size_t p, size_t first, size_t number,
                         size_t *group)
{
    group[first] = number;
    for (size_t b = 0; b < p; b++)
        if (group[b] == SIZE_MAX && fabs(projection(value, vector, p, first, b)) > TIED)
            spread_group(value, vector, p, b, number, group);
}

static bool is_tied(const double *value, const double *vector, size_t p, size_t a)
{
    for (size_t b = 0; b < p; b++)
        if (b != a && fabs(projection(value, vector, p, a, b)) > TIED) return true;
    return false;
}

earshot_status es_separate(const double *x, size_t n, size_t p, size_t *group, size_t *n_groups)
{
    *n_groups = 0;
    for (size_t a = 0; a < p; a++) group[a] = SIZE_MAX;
    if (p < 2) return EARSHOT_OK;
    double *gram = calloc(2 * p * p + 5 * p, sizeof *gram);
    if (!gram) return EARSHOT_MEMORY;
    double *vector = gram + p * p, *value = vector + p * p, *work = value + p;
    fill_gram(x, n, p, gram);
    decompose(gram, p, value, vector, work);
    for (size_t a = 0; a < p; a++)
        if (group[a] == SIZE_MAX && is_tied(value, vector, p, a))
            spread_group(value, vector, p, a, (*n_groups)++, group);
    free(gram);
    return EARSHOT_OK;
}
