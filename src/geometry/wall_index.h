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

/* Number the footprints anew, as they first stand in the index, so that what is near each other on the plan can be near
 * each other in memory. number: [n] gets the new number of each. */
void es_grid_renumber(es_grid *grid, uint32_t *number, size_t n);

/* The cells of a row that a footprint touches. */
typedef struct es_grid_walk {
    double ax, ay, bx, by, per_y; /* in cells, upwards; 1 / (by - ay) */
    double margin;
    uint32_t row, first, last; /* of the row met last: its number, first and last column */
    uint32_t next, left, step; /* rows still to come */
    uint32_t rows, columns;    /* of the grid */
    bool box;
} es_grid_walk;

/* Every cell that holds a point within margin_m of the footprint is met, row by row from a's to b's. */
es_grid_walk es_grid_walk_start(const es_grid *grid, const es_footprint *footprint);
bool es_grid_walk_row(es_grid_walk *walk);

#endif
