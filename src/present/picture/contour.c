/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Contour lines by marching squares over the centres of the cells. A line crosses an edge between two neighbouring
 * centres at most once, so a crossing is named by its edge: 2 * cell for the edge to the right, 2 * cell + 1 for the
 * edge downwards. Each square gives one or two pieces, each joining two edges; pieces that share an edge are chained.
 */
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "present/picture/shade.h"

typedef struct tracer {
    const earshot_grid *grid;
    double level_db;
    size_t (*to)[2]; /* [2 * cells] edges that a piece leads to from each; SIZE_MAX: none */
} tracer;

static double value(const tracer *t, size_t row, size_t column)
{
    return t->grid->dependable_db[row * t->grid->columns + column];
}

static void join(tracer *t, size_t a, size_t b)
{
    t->to[a][t->to[a][0] != SIZE_MAX] = b;
    t->to[b][t->to[b][0] != SIZE_MAX] = a;
}

/* The square whose left upper corner is this cell. */
static void march(tracer *t, size_t row, size_t column)
{
    const double level = t->level_db;
    const double a = value(t, row, column), b = value(t, row, column + 1), c = value(t, row + 1, column + 1),
                 d = value(t, row + 1, column);
    const size_t here = row * t->grid->columns + column;
    const size_t top = 2 * here, left = 2 * here + 1, right = 2 * (here + 1) + 1,
                 bottom = 2 * (here + t->grid->columns);
    const unsigned high =
        (a >= level) | (unsigned)(b >= level) << 1 | (unsigned)(c >= level) << 2 | (unsigned)(d >= level) << 3;
    const bool middle = (a + b + c + d) / 4.0 >= level;
    switch (high) {
    case 1:
    case 14: join(t, left, top); break;
    case 2:
    case 13: join(t, top, right); break;
    case 4:
    case 11: join(t, right, bottom); break;
    case 8:
    case 7: join(t, bottom, left); break;
    case 3:
    case 12: join(t, left, right); break;
    case 6:
    case 9: join(t, top, bottom); break;
    case 5:
    case 10: /* a saddle: the middle decides which corners belong together */
        if ((high == 5) == middle) {
            join(t, left, bottom);
            join(t, top, right);
        } else {
            join(t, left, top);
            join(t, right, bottom);
        }
        break;
    default: break;
    }
}

/* Where the level is crossed on an edge. */
static earshot_point place(const tracer *t, size_t edge)
{
    const earshot_grid *g = t->grid;
    const size_t here = edge / 2, row = here / g->columns, column = here % g->columns;
    const bool down = edge % 2;
    const double from = value(t, row, column), to = down ? value(t, row + 1, column) : value(t, row, column + 1);
    const double share = (t->level_db - from) / (to - from);
    return (earshot_point){g->x0_m + ((double)column + 0.5 + (down ? 0.0 : share)) * g->cell_x_m,
                           g->y0_m + ((double)(g->rows - row) - 0.5 - (down ? share : 0.0)) * g->cell_y_m};
}

static size_t take(tracer *t, size_t edge)
{
    const unsigned which = t->to[edge][0] != SIZE_MAX ? 0 : 1;
    const size_t next = t->to[edge][which];
    if (next == SIZE_MAX) return SIZE_MAX;
    t->to[edge][which] = SIZE_MAX;
    t->to[next][t->to[next][0] == edge ? 0 : 1] = SIZE_MAX;
    return next;
}

static bool follow(tracer *t, size_t start, es_contours *out)
{
    es_contour chain = {0};
    size_t capacity = 0;
    for (size_t edge = start; edge != SIZE_MAX; edge = take(t, edge)) {
        if (!es_grow((void **)&chain.point, &capacity, chain.n, sizeof *chain.point)) {
            free(chain.point);
            return false;
        }
        chain.point[chain.n++] = place(t, edge);
        chain.closed = chain.n > 1 && edge == start;
    }
    if (!es_grow((void **)&out->item, &out->capacity, out->n, sizeof *out->item)) {
        free(chain.point);
        return false;
    }
    out->item[out->n++] = chain;
    return true;
}

static unsigned ends(const tracer *t, size_t edge)
{
    return (t->to[edge][0] != SIZE_MAX) + (unsigned)(t->to[edge][1] != SIZE_MAX);
}

bool es_contours_find(const earshot_grid *grid, double level_db, es_contours *contours)
{
    const size_t edges = 2 * grid->rows * grid->columns;
    tracer t = {grid, level_db, malloc(edges * sizeof *t.to)};
    bool done = t.to != NULL;
    *contours = (es_contours){0};
    if (!done) return false;
    memset(t.to, 0xff, edges * sizeof *t.to);
    for (size_t row = 0; row + 1 < grid->rows; row++)
        for (size_t column = 0; column + 1 < grid->columns; column++) march(&t, row, column);
    for (size_t edge = 0; edge < edges && done; edge++) /* open lines from their ends first, then rings */
        if (ends(&t, edge) == 1) done = follow(&t, edge, contours);
    for (size_t edge = 0; edge < edges && done; edge++)
        if (ends(&t, edge) == 2) done = follow(&t, edge, contours);
    free(t.to);
    if (!done) es_contours_clear(contours);
    return done;
}

void es_contours_clear(es_contours *contours)
{
    for (size_t i = 0; i < contours->n; i++) free(contours->item[i].point);
    free(contours->item);
    *contours = (es_contours){0};
}
