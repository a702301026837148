/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A row that only says heard or not: a bound, not a value. */
#ifndef ES_HEARD_H
#define ES_HEARD_H

#include <stdbool.h>

/* What the row says near a level, as a reading of value y with a variance: the quadratic that touches the logarithm of
 * its likelihood there. */
typedef struct es_bound {
    double y_dbm, variance;
} es_bound;

/* Likelihood: Phi((level - bound) / sigma) when it was heard, one less that when not (probit). level_dbm: where the
 * estimate stands now. Newton's rule on it finds the most likely level, as the logarithm is concave. */
es_bound es_heard_bound(bool heard, double level_dbm, double bound_dbm, double sigma_db);

#endif
