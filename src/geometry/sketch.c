/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "geometry/sketch.h"

#include <float.h>
#include <math.h>

/* Each number and each step of es_sketch_look() is rounded by at most half of FLT_EPSILON of the largest one there, ten
 * times in all; three times as much for good measure. */
static const double ROUNDING = 16 * FLT_EPSILON;

static double farthest_m(const es_sketch *sketch, size_t i)
{
    const float x_m = fmaxf(fabsf(sketch->ax[i]), fabsf(sketch->bx[i]));
    return fmax(x_m, fmaxf(fabsf(sketch->ay[i]), fabsf(sketch->by[i])));
}

bool es_sketch_build(es_sketch *sketch, const es_grid *grid, const es_face *face, es_arena *arena)
{
    const size_t n = grid->n_entries + ES_SKETCH_LANES;
    float *const ax = es_arena_take(arena, n, sizeof *ax), *const ay = es_arena_take(arena, n, sizeof *ay);
    float *const bx = es_arena_take(arena, n, sizeof *bx), *const by = es_arena_take(arena, n, sizeof *by);
    if (!ax || !ay || !bx || !by) return false;
    *sketch = (es_sketch){ax, ay, bx, by, grid->x_m, grid->y_m, 0};
    for (size_t i = 0; i < grid->n_entries; i++) {
        const es_face *f = &face[grid->entry[i] / 2];
        ax[i] = (float)(f->ax_m - sketch->x_m);
        ay[i] = (float)(f->ay_m - sketch->y_m);
        bx[i] = (float)(f->ax_m + f->length_m * f->ux - sketch->x_m);
        by[i] = (float)(f->ay_m + f->length_m * f->uy - sketch->y_m);
        sketch->reach_m = fmax(sketch->reach_m, farthest_m(sketch, i));
    }
    return true;
}

es_sketch_line es_sketch_line_from(const es_sketch *sketch, earshot_point a, double ex, double ey)
{
    const double x_m = a.x_m - sketch->x_m, y_m = a.y_m - sketch->y_m;
    return (es_sketch_line){
        .ex = (float)ex,
        .ey = (float)ey,
        .off = (float)(ex * y_m - ey * x_m),
        .slack = (float)(2 * ES_SPOT_M + ROUNDING * (sketch->reach_m + fabs(x_m) + fabs(y_m))),
    };
}

/* `&` and not `&&`, and in a file of its own, so that compilers make vector code of it. */
uint32_t es_sketch_look(const es_sketch *sketch, const es_sketch_line *line, size_t first)
{
    static const int32_t bit[ES_SKETCH_LANES] = {1, 2, 4, 8, 16, 32, 64, 128};
    const float *ax = sketch->ax + first, *ay = sketch->ay + first, *bx = sketch->bx + first, *by = sketch->by + first;
    const es_sketch_line l = *line;
    int32_t met = 0;
    for (int k = 0; k < ES_SKETCH_LANES; k++) {
        const float a = l.ex * ay[k] - l.ey * ax[k] - l.off, b = l.ex * by[k] - l.ey * bx[k] - l.off;
        const float low = a < b ? a : b, high = a < b ? b : a;
        met |= bit[k] & -((low <= l.slack) & (high >= -l.slack));
    }
    return (uint32_t)met;
}
