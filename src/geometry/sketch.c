/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "geometry/sketch.h"

#include <math.h>

typedef struct piece {
    double ax_m, ay_m, bx_m, by_m;
} piece;

/* Shorten the share [from, to] of a piece to where low <= value + share * slope <= high. */
static void clip(double value, double slope, double low, double high, double *from, double *to)
{
    if (slope == 0) return;
    const double s0 = ((slope > 0 ? low : high) - value) / slope, s1 = ((slope > 0 ? high : low) - value) / slope;
    if (s0 > *from) *from = s0;
    if (s1 < *to) *to = s1;
}

/* The part of a panel in a cell; its middle if it only touches it. The outermost cells reach to infinity. */
static piece part_in_cell(const es_grid *grid, uint32_t column, uint32_t row, const es_face *face)
{
    const double side_m = 1 / grid->cells_a_m, margin_m = grid->margin_m;
    const double x_m = face->ax_m - grid->x_m, y_m = face->ay_m - grid->y_m;
    const double dx_m = face->length_m * face->ux, dy_m = face->length_m * face->uy;
    double from = 0, to = 1;
    clip(x_m, dx_m, column > 0 ? column * side_m - margin_m : -HUGE_VAL,
         column + 1 < grid->columns ? (column + 1) * side_m + margin_m : HUGE_VAL, &from, &to);
    clip(y_m, dy_m, row > 0 ? row * side_m - margin_m : -HUGE_VAL,
         row + 1 < grid->rows ? (row + 1) * side_m + margin_m : HUGE_VAL, &from, &to);
    if (from > to) from = to = (from + to) / 2;
    return (piece){x_m + from * dx_m, y_m + from * dy_m, x_m + to * dx_m, y_m + to * dy_m};
}

static void put(es_block *block, size_t i, int axis, double a_m, double b_m)
{
    block[i / ES_BLOCK].middle_m[axis][i % ES_BLOCK] = (float)(a_m + (b_m - a_m) / 2);
    block[i / ES_BLOCK].half_m[axis][i % ES_BLOCK] = (float)((b_m - a_m) / 2);
}

/* So placed that nothing is spread over more lines of the processor's memory than it must be. */
static void *take_aligned(es_arena *arena, size_t n, size_t size)
{
    enum { LINE = 64 };
    char *const place = es_arena_take(arena, n + (LINE + size - 1) / size, size);
    return place ? place + (LINE - (uintptr_t)place % LINE) % LINE : NULL;
}

bool es_sketch_build(es_sketch *sketch, const es_grid *grid, const es_face *face, es_arena *arena)
{
    es_block *const block = take_aligned(arena, grid->n_entries / ES_BLOCK + ES_BLOCKS_BEHIND, sizeof *block);
    es_face *const whole = take_aligned(arena, grid->n_entries, sizeof *whole);
    if (!block || !whole) return false;
    double far_m = 0;
    for (uint32_t cell = 0; cell < grid->rows * grid->columns; cell++) {
        for (size_t i = grid->start[cell]; i < grid->start[cell + 1]; i++) {
            whole[i] = face[grid->entry[i] / 2];
            const piece p = part_in_cell(grid, cell % grid->columns, cell / grid->columns, &whole[i]);
            put(block, i, 0, p.ax_m, p.bx_m);
            put(block, i, 1, p.ay_m, p.by_m);
            far_m = fmax(far_m, fmax(fmax(fabs(p.ax_m), fabs(p.bx_m)), fmax(fabs(p.ay_m), fabs(p.by_m))));
        }
    }
    *sketch = (es_sketch){block, whole, grid->x_m, grid->y_m, far_m};
    return true;
}
