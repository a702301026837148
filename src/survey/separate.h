/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which materials the readings cannot tell apart. */
#ifndef ES_SEPARATE_H
#define ES_SEPARATE_H

#include "earshot/error.h"

/* Columns of x[n][p] that depend on each other: group[j] is the same number for all that do, SIZE_MAX for a column that
 * stands by itself (or is zero). *n_groups: how many; numbers run in the order of their first column.
 * EARSHOT_OK, EARSHOT_MEMORY. */
earshot_status es_separate(const double *x, size_t n, size_t p, size_t *group, size_t *n_groups);
/* Cosine of the angle between two columns, without sign; 0 if one is zero. */
double es_column_cosine(const double *x, size_t n, size_t p, size_t a, size_t b);
double es_column_length(const double *x, size_t n, size_t p, size_t a);

#endif
