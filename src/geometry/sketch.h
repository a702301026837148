/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A coarse copy of the panels, in the order of the index and in floats, to tell quickly which ones a line may meet: the
 * panels of a row lie side by side, so the processor can take several at once and fetch them ahead. */
#ifndef ES_SKETCH_H
#define ES_SKETCH_H

#include "geometry/geometry.h"
#include "geometry/wall_index.h"

/* A panel as the exact tests want it: where it begins, which way and how far it goes. */
typedef struct es_face {
    double ax_m, ay_m, ux, uy, length_m, z0_m, z1_m;
    size_t element;
} es_face;

typedef struct es_sketch {
    const float *ax, *ay, *bx, *by; /* [entries of the index, and ES_SKETCH_LANES more], metres from x_m, y_m */
    double x_m, y_m, reach_m;       /* no coordinate is larger than reach_m */
} es_sketch;

/* A line on the ground plan: all that lies within slack of it may be met. */
typedef struct es_sketch_line {
    float ex, ey, off, slack;
} es_sketch_line;

enum { ES_SKETCH_LANES = 8 };

/* The arrays are taken from the arena. false when memory is out. */
bool es_sketch_build(es_sketch *sketch, const es_grid *grid, const es_face *face, es_arena *arena);

/* The line through a in the direction ex, ey of length 1 (or 0: an upright line). */
es_sketch_line es_sketch_line_from(const es_sketch *sketch, earshot_point a, double ex, double ey);

/* Bit k is set if entry first + k may be met: not if both its ends are clearly on one side of the line. */
uint32_t es_sketch_look(const es_sketch *sketch, const es_sketch_line *line, size_t first);

#endif
