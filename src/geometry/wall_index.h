/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The wall index: a uniform grid on the ground plan that lists in each cell the footprints touching it. A query walks
 * the grid row by row; within a row the cells it needs lie side by side, so it reads one run of entries a row.
 * Nothing is written after building: any number of threads may walk. */
#ifndef ES_WALL_INDEX_H
#define ES_WALL_INDEX_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/arena.h"

/* The straight line from a to b, or the upright box with a and b in opposite corners. */
typedef struct es_footprint {
    double ax_m, ay_m, bx_m, by_m;
    bool box;
} es_footprint;

typedef struct es_grid {
    double x_m, y_m;  /* lower left corner; the outermost rows and columns reach to infinity */
    double cells_a_m; /* 1 / side of a cell */
    double margin_m;  /* by which footprints and lines are fattened: above all tolerances and all rounding */
    uint32_t columns, rows;
    size_t n_entries;
    uint32_t *start; /* [rows * columns + 1] into entry, row by row */
    uint32_t *entry; /* [n_entries] 2 * footprint, + 1 in the first cell of a row that lists it */
} es_grid;

/* The arrays are taken from the arena. false when memory is out. Footprints are finite; n may be 0. */
bool es_grid_build(es_grid *grid, const es_footprint *footprint, size_t n, es_arena *arena);

/* The cells of a row that a footprint touches. All lengths in cells. */
typedef struct es_grid_walk {
    double ax, ay, slope; /* a point of the line, columns a row; NaN for a level line and a box */
    double low, high;     /* columns between which all of it lies, fattened */
    double margin;
    uint32_t row, first, last; /* of the row met last: its number, first and last column */
    uint32_t next, left, step; /* rows still to come */
    uint32_t rows;             /* of the grid */
} es_grid_walk;

/* Every cell that holds a point within margin_m of the footprint is met, row by row from a's to b's. */
es_grid_walk es_grid_walk_start(const es_grid *grid, const es_footprint *footprint);

/* Here, so that it becomes part of the loops that use it. */
static inline bool es_grid_walk_row(es_grid_walk *walk)
{
    static const double INFINITE_ROWS = 1e300; /* the outermost rows reach that far: times 0 it is still 0 */
    if (walk->left == 0) return false;
    const uint32_t row = walk->row = walk->next;
    walk->next += walk->step;
    walk->left--;
    /* The margin on the heights is far above their rounding, so however flat the line is, what it does within the
     * row lies between the two places. Comparisons with NaN are false: then first is low, and last high. */
    const double bottom = row > 0 ? row - walk->margin : -INFINITE_ROWS;
    const double top = row + 1 < walk->rows ? row + 1 + walk->margin : INFINITE_ROWS;
    const double x0 = walk->ax + (bottom - walk->ay) * walk->slope, x1 = walk->ax + (top - walk->ay) * walk->slope;
    const double from = (x0 < x1 ? x0 : x1) - walk->margin, to = (x0 > x1 ? x0 : x1) + walk->margin;
    const double first = from > walk->low ? from : walk->low, last = to < walk->high ? to : walk->high;
    walk->first = (uint32_t)(first < walk->high ? first : walk->high);
    walk->last = (uint32_t)(last > walk->low ? last : walk->low);
    return true;
}

#endif
