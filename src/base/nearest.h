/* SPDX-License-Identifier: GPL-3.0-or-later */
/* "Did you mean": the known word nearest to one that is not known. */
#ifndef ES_NEAREST_H
#define ES_NEAREST_H

#include <stddef.h>

typedef struct es_nearest {
    const char *word; /* [n] what was read */
    size_t n;
    const char *best; /* of those offered so far; NULL: none is near enough */
    size_t distance;
} es_nearest;

es_nearest es_nearest_to(const char *word, size_t n);
/* Compare with one more known word, NUL-ended, which must live as long as the result. The first of equals stays. */
void es_nearest_offer(es_nearest *nearest, const char *known);
/* Letters to insert, delete, replace or swap to make one of the other, without regard to case; at most `limit` + 1. */
size_t es_edit_distance(const char *a, size_t n_a, const char *b, size_t n_b, size_t limit);

#endif
