/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "geometry/wall_index.h"

#include <float.h>
#include <math.h>

#include "geometry/geometry.h"

/* Measured with tests/bench/bench_crossings.c. A look at a piece of wall takes less than the way to a cell, so there
 * are many in each, and few walls stand in one, in which a line meets them all; a look at a box takes long. */
static const double CELLS_A_LINE = 0.1, CELLS_A_BOX = 0.5;
enum { FEW_LINES = 128 };
/* Cells are not much smaller than the footprints are long, or each would stand in many. */
static const double LENGTHS_A_CELL = 0.5;
/* Forty times what may lie between a line and what it meets, and at ES_REACH_M still some thousand roundings. */
static const double MARGIN_M = 4 * ES_SPOT_M;
/* Bound of the memory: cells are enlarged until there are fewer entries. */
enum { ENTRIES_A_FOOTPRINT = 8, ENTRIES_FREE = 64 };
enum { MAX_PASSES = 32 };

/* Above this slope, columns a row, a line counts as level: it may be anywhere between its ends. */
static const double LEVEL_SLOPE = 1e15;

/* Stays a fraction. */
static double clamp_cell(double at, uint32_t cells)
{
    if (!(at > 0)) return 0;
    return at < (double)cells ? at : cells - 1;
}

es_grid_walk es_grid_walk_start(const es_grid *grid, const es_footprint *footprint)
{
    const double scale = grid->cells_a_m, margin = grid->margin_m * scale;
    const double ax = (footprint->ax_m - grid->x_m) * scale, ay = (footprint->ay_m - grid->y_m) * scale;
    const double bx = (footprint->bx_m - grid->x_m) * scale, by = (footprint->by_m - grid->y_m) * scale;
    const bool upwards = ay <= by, rightwards = ax <= bx;
    const double slope = (bx - ax) / (by - ay);
    const uint32_t bottom = (uint32_t)clamp_cell((upwards ? ay : by) - margin, grid->rows);
    const uint32_t top = (uint32_t)clamp_cell((upwards ? by : ay) + margin, grid->rows);
    return (es_grid_walk){
        .ax = ax,
        .ay = ay,
        .slope = fabs(slope) < LEVEL_SLOPE && !footprint->box ? slope : NAN,
        .low = clamp_cell((rightwards ? ax : bx) - margin, grid->columns),
        .high = clamp_cell((rightwards ? bx : ax) + margin, grid->columns),
        .margin = margin,
        .next = upwards ? bottom : top,
        .left = top - bottom + 1,
        .step = upwards ? 1 : UINT32_MAX, /* which wraps round: one down */
        .rows = grid->rows,
    };
}

typedef struct span {
    double low, high;
} span;

/* Where most of the values lie: all within four standard deviations of their mean, those outside set aside until none
 * is. An even spread reaches 1.7 standard deviations, so only what lies far out is set aside. */
static span bulk(const es_footprint *footprint, size_t n, double (*middle)(const es_footprint *))
{
    span within = {-DBL_MAX, DBL_MAX};
    size_t kept = n + 1;
    for (int pass = 0; pass < MAX_PASSES; pass++) {
        double sum = 0, squares = 0;
        span seen = {DBL_MAX, -DBL_MAX};
        const size_t before = kept;
        kept = 0;
        /* About a value of their own, so that a plan far from its origin keeps its digits. */
        double origin = 0;
        for (size_t i = 0; i < n; i++) {
            const double value = middle(&footprint[i]);
            if (value < within.low || value > within.high) continue;
            if (!kept++) origin = value;
            sum += value - origin;
            squares += (value - origin) * (value - origin);
            seen = (span){fmin(seen.low, value), fmax(seen.high, value)};
        }
        if (kept == before) return seen;
        const double mean = sum / (double)kept;
        const double reach = 4 * sqrt(fmax(0, squares / (double)kept - mean * mean));
        within.low = fmax(seen.low, origin + mean - reach);
        within.high = fmin(seen.high, origin + mean + reach);
    }
    return within;
}

static double middle_x(const es_footprint *footprint)
{
    return footprint->ax_m + (footprint->bx_m - footprint->ax_m) / 2;
}

static double middle_y(const es_footprint *footprint)
{
    return footprint->ay_m + (footprint->by_m - footprint->ay_m) / 2;
}

/* Each counted as no longer than the grid is wide: beyond that, length makes no difference. */
static double mean_length_m(const es_footprint *footprint, size_t n, double widest_m)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++) {
        const es_footprint *f = &footprint[i];
        sum += fmin(widest_m, fmax(fabs(f->bx_m - f->ax_m), fabs(f->by_m - f->ay_m)));
    }
    return sum / (double)n;
}

static void set_cells(es_grid *grid, span x, span y, double side_m)
{
    grid->cells_a_m = 1 / side_m;
    grid->columns = (uint32_t)((x.high - x.low) / side_m) + 1;
    grid->rows = (uint32_t)((y.high - y.low) / side_m) + 1;
}

static size_t count_entries(const es_grid *grid, const es_footprint *footprint, size_t n, size_t limit)
{
    size_t entries = 0;
    for (size_t i = 0; i < n && entries <= limit; i++) {
        es_grid_walk walk = es_grid_walk_start(grid, &footprint[i]);
        while (es_grid_walk_row(&walk)) entries += walk.last - walk.first + 1;
    }
    return entries;
}

static void choose_cells(es_grid *grid, const es_footprint *footprint, size_t n)
{
    const span x = bulk(footprint, n, middle_x), y = bulk(footprint, n, middle_y);
    const double width = x.high - x.low, height = y.high - y.low;
    const double cells = (footprint->box ? CELLS_A_BOX : CELLS_A_LINE) * (double)n;
    const size_t limit = ENTRIES_A_FOOTPRINT * n + ENTRIES_FREE;
    grid->x_m = x.low;
    grid->y_m = y.low;
    if (n <= FEW_LINES && !footprint->box) return;
    /* Not narrower than what makes a thin strip, whose area says nothing, `cells` long. */
    double side_m = fmax(sqrt(width * height / cells), fmax(width, height) / cells);
    side_m = fmax(side_m, LENGTHS_A_CELL * mean_length_m(footprint, n, fmax(width, height)));
    side_m = fmax(side_m, 16 * grid->margin_m);
    for (;; side_m *= 1.5) {
        set_cells(grid, x, y, side_m);
        if (grid->columns == 1 && grid->rows == 1) return;
        if (count_entries(grid, footprint, n, limit) <= limit) return;
    }
}

static void list_entries(const es_grid *grid, const es_footprint *footprint, size_t n, uint32_t *start, uint32_t *entry)
{
    for (size_t i = 0; i < n; i++) {
        es_grid_walk walk = es_grid_walk_start(grid, &footprint[i]);
        while (es_grid_walk_row(&walk)) {
            for (uint32_t column = walk.first; column <= walk.last; column++) {
                const size_t cell = (size_t)walk.row * grid->columns + column;
                const uint32_t at = start[cell]++;
                if (entry) entry[at] = (uint32_t)(2 * i + (column == walk.first));
            }
        }
    }
}

/* From counts to the index of each cell's first entry. */
static uint32_t sum_up(uint32_t *start, size_t cells)
{
    uint32_t sum = 0;
    for (size_t cell = 0; cell <= cells; cell++) {
        const uint32_t count = start[cell];
        start[cell] = sum;
        sum += count;
    }
    return sum;
}

bool es_grid_build(es_grid *grid, const es_footprint *footprint, size_t n, es_arena *arena)
{
    if (n > INT32_MAX / (2 * ENTRIES_A_FOOTPRINT)) return false;
    es_grid made = {.cells_a_m = 1, .columns = 1, .rows = 1, .margin_m = MARGIN_M};
    if (n) choose_cells(&made, footprint, n);
    const size_t cells = (size_t)made.columns * made.rows;
    uint32_t *start = es_arena_take(arena, cells + 1, sizeof *start);
    if (!start) return false;
    list_entries(&made, footprint, n, start, NULL);
    made.n_entries = sum_up(start, cells);
    uint32_t *entry = es_arena_take(arena, made.n_entries, sizeof *entry);
    if (!entry) return false;
    list_entries(&made, footprint, n, start, entry);
    /* Filling moved each start to the next cell's: move them back. */
    for (size_t cell = cells; cell > 0; cell--) start[cell] = start[cell - 1];
    start[0] = 0;
    made.start = start;
    made.entry = entry;
    *grid = made;
    return true;
}
