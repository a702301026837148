/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which walls a leg of a path crosses on the ground plan: a uniform grid over the walls, walked cell by cell. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "propagation/rays_inner.h"

/* A leg that ends this near a wall touches it and does not cross it. */
static const double TOUCH_M = 1e-6;
/* A leg with both ends this near a wall's line runs inside the sheet. */
static const double INSIDE_M = 1e-8;
/* Walls are entered into cells this much larger, so that rounding in the walk loses none. */
static const double CELL_SLACK = 1e-6;

enum { CELLS_A_WALL = 4, FEWEST_CELLS = 16, MOST_CELLS = 1 << 20 };

/* ---- the grid ---- */

static void bounds(const rays_scene *scene, rays_point *low, rays_point *high)
{
    *low = (rays_point){INFINITY, INFINITY};
    *high = (rays_point){-INFINITY, -INFINITY};
    for (size_t i = 0; i < scene->n_walls; i++) {
        const rays_wall *w = &scene->wall[i];
        low->x = fmin(low->x, fmin(w->a.x, w->b.x));
        low->y = fmin(low->y, fmin(w->a.y, w->b.y));
        high->x = fmax(high->x, fmax(w->a.x, w->b.x));
        high->y = fmax(high->y, fmax(w->a.y, w->b.y));
    }
}

static void lay_out(rays_scene *scene)
{
    rays_grid *grid = &scene->grid;
    rays_point low = {0.0, 0.0}, high = {1.0, 1.0};
    if (scene->n_walls) bounds(scene, &low, &high);
    const double width = fmax(high.x - low.x, 0.1), height = fmax(high.y - low.y, 0.1);
    const double cells = fmin(FEWEST_CELLS + CELLS_A_WALL * (double)scene->n_walls, MOST_CELLS);
    grid->cell_m = fmax(sqrt(width * height / cells), fmax(width, height) / 4096.0);
    grid->x0 = low.x - grid->cell_m / 2.0;
    grid->y0 = low.y - grid->cell_m / 2.0;
    grid->columns = (uint32_t)(width / grid->cell_m) + 2;
    grid->rows = (uint32_t)(height / grid->cell_m) + 2;
}

static uint32_t cell_of(double x, double x0, double cell_m, uint32_t n)
{
    const double i = floor((x - x0) / cell_m);
    if (!(i > 0.0)) return 0;
    return i < n ? (uint32_t)i : n - 1;
}

/* Does the wall pass through a cell? By its distance from the cell's centre across its own direction. */
static bool passes(const rays_grid *grid, const rays_wall *wall, uint32_t column, uint32_t row)
{
    const double half = grid->cell_m * (0.5 + CELL_SLACK);
    const rays_point centre = {grid->x0 + grid->cell_m * (column + 0.5), grid->y0 + grid->cell_m * (row + 0.5)};
    const double away = fabs(rays_cross(wall->along, rays_minus(centre, wall->a)));
    return away <= half * (fabs(wall->along.x) + fabs(wall->along.y));
}

/* Count the entries of a wall (entry NULL), or write them at the places that next[] counts up. */
static void enter(const rays_grid *grid, const rays_wall *wall, uint32_t number, uint32_t *next, uint32_t *entry)
{
    const double slack = grid->cell_m * CELL_SLACK;
    const uint32_t c0 = cell_of(fmin(wall->a.x, wall->b.x) - slack, grid->x0, grid->cell_m, grid->columns);
    const uint32_t c1 = cell_of(fmax(wall->a.x, wall->b.x) + slack, grid->x0, grid->cell_m, grid->columns);
    const uint32_t r0 = cell_of(fmin(wall->a.y, wall->b.y) - slack, grid->y0, grid->cell_m, grid->rows);
    const uint32_t r1 = cell_of(fmax(wall->a.y, wall->b.y) + slack, grid->y0, grid->cell_m, grid->rows);
    for (uint32_t row = r0; row <= r1; row++) {
        for (uint32_t column = c0; column <= c1; column++) {
            if (!passes(grid, wall, column, row)) continue;
            uint32_t *place = &next[row * grid->columns + column];
            if (entry) entry[*place] = number;
            ++*place;
        }
    }
}

earshot_status es_rays_grid_fill(rays_scene *scene)
{
    rays_grid *grid = &scene->grid;
    lay_out(scene);
    const size_t cells = (size_t)grid->columns * grid->rows;
    grid->start = calloc(cells + 1, sizeof *grid->start);
    uint32_t *next = calloc(cells + 1, sizeof *next);
    if (!grid->start || !next) {
        free(next);
        return EARSHOT_MEMORY;
    }
    for (size_t i = 0; i < scene->n_walls; i++) enter(grid, &scene->wall[i], (uint32_t)i, next, NULL);
    for (size_t i = 0; i < cells; i++) grid->start[i + 1] = grid->start[i] + next[i];
    memcpy(next, grid->start, cells * sizeof *next);
    grid->wall = malloc((grid->start[cells] + 1) * sizeof *grid->wall);
    if (grid->wall)
        for (size_t i = 0; i < scene->n_walls; i++) enter(grid, &scene->wall[i], (uint32_t)i, next, grid->wall);
    free(next);
    return grid->wall ? EARSHOT_OK : EARSHOT_MEMORY;
}

/* ---- the tracer ---- */

bool es_rays_tracer_init(rays_tracer *tracer, const rays_scene *scene)
{
    *tracer = (rays_tracer){.seen = calloc(scene->n_walls + 1, sizeof *tracer->seen)};
    return tracer->seen != NULL;
}

void es_rays_tracer_clear(rays_tracer *tracer)
{
    free(tracer->seen);
    free(tracer->hits.item);
}

bool es_rays_add_hit(rays_tracer *tracer, rays_hit hit)
{
    void *items = tracer->hits.item;
    if (!es_grow(&items, &tracer->hits.room, tracer->hits.n, sizeof hit)) {
        tracer->no_memory = true;
        return false;
    }
    tracer->hits.item = items;
    tracer->hits.item[tracer->hits.n++] = hit;
    return true;
}

typedef struct leg {
    rays_point p, q, span;
    double length_m, offset_m, floor;
    const rays_ends *ends;
    double *bound;
} leg;

static bool ends_on(const rays_ends *ends, uint32_t wall)
{
    for (int e = 0; e < 2; e++) {
        if (ends->wall[e] == wall) return true;
        for (size_t i = 0; i < ends->n_arms[e]; i++)
            if (ends->arm[e][i].wall == wall) return true;
    }
    return false;
}

/* A leg inside a sheet: does it pass along any of it? */
static bool runs_along(const leg *l, const rays_wall *w)
{
    const double p = rays_dot(rays_minus(l->p, w->a), w->along), q = rays_dot(rays_minus(l->q, w->a), w->along);
    return fmin(p, q) < w->length_m - TOUCH_M && fmax(p, q) > TOUCH_M;
}

/* The most that a wall lets through so far along the chain. */
static double passes_at(const rays_scene *scene, const rays_heights *heights, uint32_t wall, double cosine, double at_m)
{
    if (!heights) return es_rays_wall_t_bound(scene, wall, cosine);
    const double before_m = heights->steep * at_m, after_m = heights->steep * fmax(heights->length_m - at_m, 0.0);
    double low = fmax(heights->low_z, heights->to_z - after_m), high = fmin(heights->high_z, heights->to_z + after_m);
    low = fmax(low, heights->from_z - before_m); /* NAN is passed over */
    high = fmin(high, heights->from_z + before_m);
    return es_rays_wall_t_between(scene, wall, cosine, rays_least(low, high), high);
}

/* False when nothing gets through. A wall that is met exactly in its end belongs to one side of the leg, so that of two
 * walls that continue each other just one is crossed. */
static bool meet(const rays_scene *scene, rays_tracer *tracer, const leg *l, uint32_t wall)
{
    const rays_wall *w = &scene->wall[wall];
    const double side_p = rays_cross(w->along, rays_minus(l->p, w->a));
    const double side_q = rays_cross(w->along, rays_minus(l->q, w->a));
    if (fabs(side_p) < INSIDE_M && fabs(side_q) < INSIDE_M) return !runs_along(l, w) || ends_on(l->ends, wall);
    if ((side_p < 0.0) == (side_q < 0.0)) return true;
    const double side_a = rays_cross(l->span, rays_minus(w->a, l->p)),
                 side_b = rays_cross(l->span, rays_minus(w->b, l->p));
    if ((side_a < 0.0) == (side_b < 0.0)) return true;
    const double at_m = l->length_m * side_p / (side_p - side_q);
    if (at_m < TOUCH_M || at_m > l->length_m - TOUCH_M || ends_on(l->ends, wall)) return true;
    const double cosine = fabs(side_p - side_q) / l->length_m;
    *l->bound *= passes_at(scene, tracer->heights, wall, cosine, l->offset_m + at_m);
    if (*l->bound < l->floor) return false;
    return es_rays_add_hit(tracer, (rays_hit){.wall = wall, .at_m = l->offset_m + at_m, .cosine = cosine});
}

static bool meet_cell(const rays_scene *scene, rays_tracer *tracer, const leg *l, uint32_t column, uint32_t row)
{
    const rays_grid *grid = &scene->grid;
    const size_t cell = (size_t)row * grid->columns + column;
    for (uint32_t i = grid->start[cell]; i < grid->start[cell + 1]; i++) {
        const uint32_t wall = grid->wall[i];
        if (tracer->seen[wall] == tracer->leg) continue;
        tracer->seen[wall] = tracer->leg;
        if (!meet(scene, tracer, l, wall)) return false;
    }
    return true;
}

/* Part of one coordinate of the leg that lies in low..high, as shares of the leg. */
static bool clip(double p, double span, double low, double high, double *from, double *to)
{
    if (span == 0.0) return p >= low && p <= high;
    const double a = (low - p) / span, b = (high - p) / span;
    *from = fmax(*from, fmin(a, b));
    *to = fmin(*to, fmax(a, b));
    return *from <= *to;
}

/* One axis of the walk: the cell, its step, and the share of the leg where the next cell begins. */
typedef struct axis {
    uint32_t cell, n;
    int step;
    double next, every;
} axis;

static axis start_axis(double at, double span, double x0, double cell_m, uint32_t n)
{
    axis a = {.cell = cell_of(at, x0, cell_m, n), .n = n, .next = INFINITY, .every = INFINITY};
    if (span == 0.0) return a;
    a.step = span > 0.0 ? 1 : -1;
    const double border = x0 + cell_m * (a.cell + (span > 0.0 ? 1.0 : 0.0));
    a.every = cell_m / fabs(span);
    a.next = (border - at) / span;
    return a;
}

/* False when the walk leaves the grid. */
static bool step(axis *a)
{
    if (a->step < 0 && a->cell == 0) return false;
    if (a->step > 0 && a->cell + 1 == a->n) return false;
    a->cell = (uint32_t)((int64_t)a->cell + a->step);
    a->next += a->every;
    return true;
}

static bool walk(const rays_scene *scene, rays_tracer *tracer, const leg *l)
{
    const rays_grid *grid = &scene->grid;
    double from = 0.0, to = 1.0;
    const double x1 = grid->x0 + grid->cell_m * grid->columns, y1 = grid->y0 + grid->cell_m * grid->rows;
    if (!clip(l->p.x, l->span.x, grid->x0, x1, &from, &to) || !clip(l->p.y, l->span.y, grid->y0, y1, &from, &to))
        return true;
    axis x = start_axis(l->p.x + from * l->span.x, l->span.x, grid->x0, grid->cell_m, grid->columns);
    axis y = start_axis(l->p.y + from * l->span.y, l->span.y, grid->y0, grid->cell_m, grid->rows);
    for (;;) {
        if (!meet_cell(scene, tracer, l, x.cell, y.cell)) return false;
        axis *nearer = x.next < y.next ? &x : &y;
        if (from + nearer->next > to || !step(nearer)) return true;
    }
}

bool es_rays_trace_leg(const rays_scene *scene, rays_tracer *tracer, rays_point p, rays_point q, const rays_ends *ends,
                       double offset_m, double floor, double *bound)
{
    const rays_point span = rays_minus(q, p);
    const leg l = {p, q, span, rays_length(span), offset_m, floor, ends, bound};
    if (++tracer->leg == 0) { /* the count has come round: forget all marks */
        memset(tracer->seen, 0, scene->n_walls * sizeof *tracer->seen);
        tracer->leg = 1;
    }
    return walk(scene, tracer, &l);
}
