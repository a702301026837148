/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/nearest.h"

#include <string.h>

enum { LONGEST = 64 };

static char lower(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

static size_t least(size_t a, size_t b)
{
    return a < b ? a : b;
}

/* Optimal string alignment: G. Navarro, "A guided tour to approximate string matching", ACM Computing Surveys 33
 * (2001), with transposition of neighbours as one step. Three rows of the table are enough. */
size_t es_edit_distance(const char *a, size_t n_a, const char *b, size_t n_b, size_t limit)
{
    const size_t gap = n_a > n_b ? n_a - n_b : n_b - n_a;
    if (n_a > LONGEST || n_b > LONGEST || gap > limit) return limit + 1;
    size_t rows[3][LONGEST + 1];
    for (size_t j = 0; j <= n_b; j++) rows[0][j] = j;
    for (size_t i = 1; i <= n_a; i++) {
        size_t *row = rows[i % 3];
        const size_t *up = rows[(i - 1) % 3], *up2 = rows[(i + 1) % 3];
        row[0] = i;
        for (size_t j = 1; j <= n_b; j++) {
            const char x = lower(a[i - 1]), y = lower(b[j - 1]);
            row[j] = least(least(up[j] + 1, row[j - 1] + 1), up[j - 1] + (x != y));
            const int swapped = i > 1 && j > 1 && x == lower(b[j - 2]) && lower(a[i - 2]) == y;
            if (swapped) row[j] = least(row[j], up2[j - 2] + 1);
        }
    }
    return least(rows[n_a % 3][n_b], limit + 1);
}

es_nearest es_nearest_to(const char *word, size_t n)
{
    /* A third of the letters may differ: 'stod' is 'stud', but 'wall' is not 'hole'. */
    const size_t allowed = n < 3 ? 1 : (n + 2) / 3;
    return (es_nearest){.word = word, .n = n, .distance = allowed + 1};
}

void es_nearest_offer(es_nearest *nearest, const char *known)
{
    if (nearest->distance == 0) return;
    const size_t n_known = strlen(known);
    const size_t distance = es_edit_distance(nearest->word, nearest->n, known, n_known, nearest->distance - 1);
    /* Nothing of a word of one or two letters may be left over: 'x' is not near to 'b'. */
    if (distance >= nearest->distance || distance >= n_known) return;
    nearest->best = known;
    nearest->distance = distance;
}
