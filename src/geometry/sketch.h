/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A coarse copy of the panels in floats, in the order of the index, to tell quickly which ones a line may meet. They
 * are cut in pieces by the cells of the index, so that of the panels of a cell few are taken for met that are not; and
 * the pieces of a run of cells lie side by side, so that the processor can take several at once. */
#ifndef ES_SKETCH_H
#define ES_SKETCH_H

#include "geometry/geometry.h"
#include "geometry/wall_index.h"

/* A panel as the exact tests want it: where it begins, which way and how far it goes. */
typedef struct es_face {
    double ax_m, ay_m, ux, uy, length_m, z0_m, z1_m;
    size_t element;
} es_face;

enum { ES_BLOCK = 8 };

/* Some pieces, along x and along y. */
typedef struct es_block {
    float middle_m[2][ES_BLOCK]; /* from x_m, y_m of the sketch */
    float half_m[2][ES_BLOCK];   /* from the middle to one end */
} es_block;

/* One piece for each entry of the index, and as many blocks behind the last as may be looked at before that is seen. */
enum { ES_BLOCKS_BEHIND = 4 };
typedef struct es_sketch {
    const es_block *block;
    const es_face *face;    /* [entries] the whole panel that it is a piece of */
    double x_m, y_m, far_m; /* no piece is farther than far_m from x_m, y_m, along either axis */
} es_sketch;

/* The arrays are taken from the arena. false when memory is out. */
bool es_sketch_build(es_sketch *sketch, const es_grid *grid, const es_face *face, es_arena *arena);

#endif
