/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What stands on a storey, drawn into the cells of a text map. */
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "geometry/geometry.h"
#include "present/text_map.h"

static const double DIGIT_STEP_DB = 5.0;
static const double WORTH_DRAWING_DB = 0.05;
enum { LAST_DIGIT = 9, STEPS_A_CELL = 8 };

char es_map_digit(double dependable_db)
{
    if (!(dependable_db >= 0.0)) return '-';
    const double digit = floor(dependable_db / DIGIT_STEP_DB);
    return (char)('0' + (digit > LAST_DIGIT ? LAST_DIGIT : (int)digit));
}

char es_map_letter(size_t n)
{
    static const char LETTER[] = "ABCDEFGHIJKLMNOPQSTUVWXYZabcdefghijklmnopqrstuvwxyz"; /* R is the receiver */
    return n < ES_MAP_LETTERS ? LETTER[n] : '*';
}

bool es_canvas_new(const earshot_grid *grid, es_canvas *canvas)
{
    const size_t n = grid->rows * grid->columns;
    *canvas = (es_canvas){.cell = malloc(n ? n : 1), .grid = grid};
    if (!canvas->cell) return false;
    for (size_t i = 0; i < n; i++) canvas->cell[i] = es_map_digit(grid->dependable_db[i]);
    return true;
}

void es_canvas_clear(es_canvas *canvas)
{
    free(canvas->cell);
    *canvas = (es_canvas){0};
}

bool es_canvas_find(const es_canvas *canvas, earshot_point p, size_t *index)
{
    const earshot_grid *grid = canvas->grid;
    const double column = floor((p.x_m - grid->x0_m) / grid->cell_x_m);
    const double row = (double)grid->rows - 1.0 - floor((p.y_m - grid->y0_m) / grid->cell_y_m);
    if (!(column >= 0.0 && column < (double)grid->columns && row >= 0.0 && row < (double)grid->rows)) return false;
    *index = (size_t)row * grid->columns + (size_t)column;
    return true;
}

/* Openings of each wall as linked lists over their indices, so that a large plan is drawn in one pass. */
typedef struct opening_lists {
    size_t *head; /* [n_walls] */
    size_t *next; /* [n_openings] */
} opening_lists;

static bool list_openings(const earshot_plan *plan, opening_lists *lists)
{
    lists->head = malloc((plan->n_walls + 1) * sizeof *lists->head);
    lists->next = malloc((plan->n_openings + 1) * sizeof *lists->next);
    if (!lists->head || !lists->next) return false;
    for (size_t i = 0; i < plan->n_walls; i++) lists->head[i] = SIZE_MAX;
    for (size_t i = 0; i < plan->n_openings; i++) {
        const size_t wall = plan->opening[i].wall;
        lists->next[i] = SIZE_MAX;
        if (wall >= plan->n_walls) continue;
        lists->next[i] = lists->head[wall];
        lists->head[wall] = i;
    }
    return true;
}

static bool cuts(const earshot_storey *storey, double from_m, double to_m, double z_m)
{
    const double low_m = storey->level_m + (isnan(from_m) ? 0.0 : from_m);
    const double high_m = storey->level_m + (isnan(to_m) ? storey->height_m : to_m);
    return z_m >= low_m && z_m < high_m;
}

/* One straight stretch with the openings that pierce it at the height of the map. */
typedef struct stretch {
    earshot_point a, b;
    const earshot_plan *plan;
    const opening_lists *lists; /* NULL: no openings */
    size_t wall, piece;
    double z_m;
} stretch;

static earshot_point along(const stretch *s, double t)
{
    return (earshot_point){s->a.x_m + t * (s->b.x_m - s->a.x_m), s->a.y_m + t * (s->b.y_m - s->a.y_m)};
}

/* Is there a door or window at this spot and height? */
static bool is_open(const stretch *s, earshot_point p)
{
    if (!s->lists) return false;
    for (size_t i = s->lists->head[s->wall]; i != SIZE_MAX; i = s->lists->next[i]) {
        const earshot_opening *o = &s->plan->opening[i];
        if (o->piece != s->piece) continue;
        if (!cuts(&s->plan->storey[o->storey], o->sill_m, o->head_m, s->z_m)) continue;
        const double dx = o->b.x_m - o->a.x_m, dy = o->b.y_m - o->a.y_m;
        const double t = ((p.x_m - o->a.x_m) * dx + (p.y_m - o->a.y_m) * dy) / (dx * dx + dy * dy);
        if (t >= 0.0 && t <= 1.0) return true;
    }
    return false;
}

/* A cell becomes wall where more than half of what crosses it is wall. Walked in small equal steps: drawing, not
 * measuring. */
static void draw_stretch(es_canvas *canvas, const stretch *s)
{
    const earshot_grid *grid = canvas->grid;
    const double length = hypot((s->b.x_m - s->a.x_m) / grid->cell_x_m, (s->b.y_m - s->a.y_m) / grid->cell_y_m);
    const size_t steps = (size_t)ceil(length * STEPS_A_CELL) + 1;
    size_t here = SIZE_MAX, solid = 0, open = 0;
    for (size_t i = 0; i <= steps; i++) {
        size_t index = SIZE_MAX;
        const earshot_point p = along(s, (double)i / (double)steps);
        if (!es_canvas_find(canvas, p, &index)) index = SIZE_MAX;
        if (index != here) {
            if (here != SIZE_MAX && solid > open) canvas->cell[here] = '#';
            here = index;
            solid = open = 0;
        }
        if (is_open(s, p))
            open++;
        else
            solid++;
    }
    if (here != SIZE_MAX && solid > open) canvas->cell[here] = '#';
}

static void draw_wall(es_canvas *canvas, const earshot_plan *plan, const opening_lists *lists, size_t wall)
{
    const earshot_wall *w = &plan->wall[wall];
    const double z_m = canvas->grid->z_m;
    if (!cuts(&plan->storey[w->storey], w->from_m, w->to_m, z_m)) return;
    for (size_t piece = 0; piece + 1 < w->n_points; piece++) {
        const stretch s = {w->point[piece], w->point[piece + 1], plan, lists, wall, piece, z_m};
        draw_stretch(canvas, &s);
    }
}

static void bounds(const earshot_block *block, earshot_point *low, earshot_point *high)
{
    *low = *high = block->point[0];
    for (size_t i = 1; i < block->n_points; i++) {
        low->x_m = fmin(low->x_m, block->point[i].x_m);
        low->y_m = fmin(low->y_m, block->point[i].y_m);
        high->x_m = fmax(high->x_m, block->point[i].x_m);
        high->y_m = fmax(high->y_m, block->point[i].y_m);
    }
}

/* The cells whose centre lies in it, and those its edge runs through: a thin block must not vanish. */
static void draw_block(es_canvas *canvas, const earshot_plan *plan, const earshot_block *block)
{
    const earshot_grid *grid = canvas->grid;
    earshot_point low, high;
    if (!cuts(&plan->storey[block->storey], block->from_m, block->to_m, grid->z_m)) return;
    for (size_t i = 0; i < block->n_points; i++) {
        const stretch s = {.a = block->point[i], .b = block->point[(i + 1) % block->n_points], .plan = plan};
        draw_stretch(canvas, &s);
    }
    bounds(block, &low, &high);
    for (size_t row = 0; row < grid->rows; row++) {
        const double y_m = grid->y0_m + ((double)(grid->rows - row) - 0.5) * grid->cell_y_m;
        if (y_m < low.y_m || y_m > high.y_m) continue;
        for (size_t column = 0; column < grid->columns; column++) {
            const earshot_point centre = {grid->x0_m + ((double)column + 0.5) * grid->cell_x_m, y_m};
            if (centre.x_m < low.x_m || centre.x_m > high.x_m) continue;
            if (es_polygon_contains(block->point, block->n_points, centre, 0.0))
                canvas->cell[row * grid->columns + column] = '#';
        }
    }
}

static bool takes_something(const earshot_site *site, size_t material, double frequency_hz)
{
    return earshot_material_loss_db(site, material, frequency_hz, NULL) >= WORTH_DRAWING_DB;
}

bool es_canvas_draw_structure(es_canvas *canvas, const earshot_site *site, double frequency_hz)
{
    const earshot_plan *plan = earshot_site_plan(site);
    opening_lists lists;
    const bool made = list_openings(plan, &lists);
    for (size_t i = 0; made && i < earshot_site_elements(site); i++) {
        const earshot_element e = earshot_site_element(site, i);
        if (!takes_something(site, e.material, frequency_hz)) continue;
        if (e.kind == EARSHOT_ELEMENT_WALL) draw_wall(canvas, plan, &lists, e.statement);
        if (e.kind == EARSHOT_ELEMENT_BLOCK) draw_block(canvas, plan, &plan->block[e.statement]);
    }
    free(lists.head);
    free(lists.next);
    return made;
}
