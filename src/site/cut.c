/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Cutting a piece of wall around its doors and windows. */
#include <math.h>
#include <stdlib.h>

#include "base/arena.h"
#include "site/build.h"

/* Edges nearer than this are one edge: it is the tolerance of the geometry, and far below a brush stroke. */
static const double SAME_EDGE_M = 1e-6;

/* Openings that overlap in plan make columns times openings; a plan that passes its check stays far below this. */
enum { MAX_PANELS = 4000000 };

/* A wall being cut. Column c lies between cut[c] and cut[c + 1]. */
typedef struct cutting {
    const es_panel *wall;
    double length_m;
    double *cut; /* [n_cuts] distances along the wall, rising */
    size_t n_cuts;
    const es_gap **open; /* [n_open] gaps over the present column, lowest first */
    size_t n_open;
    es_panels *panels;
} cutting;

static earshot_status add_panel(es_panels *panels, es_panel panel)
{
    if (panels->n >= MAX_PANELS) return EARSHOT_PLAN_LIMIT;
    void *items = panels->item;
    if (!es_grow(&items, &panels->capacity, panels->n, sizeof panel)) return EARSHOT_MEMORY;
    panels->item = items;
    panels->item[panels->n++] = panel;
    return EARSHOT_OK;
}

static double clip(double value, double low, double high)
{
    if (value <= low + SAME_EDGE_M) return low;
    return value >= high - SAME_EDGE_M ? high : value;
}

/* Keep each gap inside the wall; drop those of which nothing is left. */
static size_t clip_gaps(const cutting *c, es_gap *gap, size_t n)
{
    size_t kept = 0;
    for (size_t i = 0; i < n; i++) {
        es_gap g = gap[i];
        g.from_m = clip(g.from_m, 0.0, c->length_m);
        g.to_m = clip(g.to_m, 0.0, c->length_m);
        g.z0_m = clip(g.z0_m, c->wall->z0_m, c->wall->z1_m);
        g.z1_m = clip(g.z1_m, c->wall->z0_m, c->wall->z1_m);
        if (g.to_m - g.from_m > SAME_EDGE_M && g.z1_m - g.z0_m > SAME_EDGE_M) gap[kept++] = g;
    }
    return kept;
}

static int by_value(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static int by_place(const void *a, const void *b)
{
    const es_gap *x = a, *y = b;
    if (x->from_m != y->from_m) return x->from_m < y->from_m ? -1 : 1;
    if (x->z0_m != y->z0_m) return x->z0_m < y->z0_m ? -1 : 1;
    return (x->element > y->element) - (x->element < y->element);
}

/* All ends of the wall and its gaps, each once, rising. */
static void collect_cuts(cutting *c, const es_gap *gap, size_t n)
{
    size_t m = 0;
    for (size_t i = 0; i < n; i++) {
        c->cut[m++] = gap[i].from_m;
        c->cut[m++] = gap[i].to_m;
    }
    c->cut[m++] = 0.0;
    c->cut[m++] = c->length_m;
    qsort(c->cut, m, sizeof c->cut[0], by_value);
    c->n_cuts = 1;
    for (size_t i = 1; i < m; i++)
        if (c->cut[i] - c->cut[c->n_cuts - 1] > SAME_EDGE_M) c->cut[c->n_cuts++] = c->cut[i];
    c->cut[c->n_cuts - 1] = c->length_m;
}

static earshot_point point_at(const cutting *c, double along_m)
{
    const es_panel *w = c->wall;
    if (along_m == 0.0) return (earshot_point){w->ax_m, w->ay_m};
    if (along_m == c->length_m) return (earshot_point){w->bx_m, w->by_m};
    const double t = along_m / c->length_m;
    return (earshot_point){w->ax_m + (w->bx_m - w->ax_m) * t, w->ay_m + (w->by_m - w->ay_m) * t};
}

static earshot_status add_part(const cutting *c, size_t column, double z0_m, double z1_m, const es_gap *gap)
{
    const earshot_point a = point_at(c, c->cut[column]), b = point_at(c, c->cut[column + 1]);
    es_panel part = *c->wall;
    part.ax_m = a.x_m;
    part.ay_m = a.y_m;
    part.bx_m = b.x_m;
    part.by_m = b.y_m;
    part.z0_m = z0_m;
    part.z1_m = z1_m;
    if (gap) {
        part.element = gap->element;
        part.material = gap->material;
        part.thickness_m = gap->thickness_m;
    }
    return add_panel(c->panels, part);
}

/* From the floor up: wall, opening, wall ... Where openings overlap the lower one keeps its height. */
static earshot_status fill_column(const cutting *c, size_t column)
{
    double z = c->wall->z0_m;
    earshot_status status = EARSHOT_OK;
    for (size_t i = 0; i < c->n_open && !status; i++) {
        const es_gap *g = c->open[i];
        const double low = fmax(g->z0_m, z);
        if (g->z1_m - low <= SAME_EDGE_M) continue;
        const bool wall_below = low - z > SAME_EDGE_M;
        if (wall_below) status = add_part(c, column, z, low, NULL);
        if (!status) status = add_part(c, column, wall_below ? low : z, g->z1_m, g);
        z = g->z1_m;
    }
    if (!status && z < c->wall->z1_m) status = add_part(c, column, z, c->wall->z1_m, NULL);
    return status;
}

/* Close the gaps that end where the column begins and open those that start there. Returns the next gap to come. */
static size_t enter_column(cutting *c, size_t column, const es_gap *gap, size_t n, size_t next)
{
    const double here = c->cut[column] + SAME_EDGE_M;
    size_t kept = 0;
    for (size_t i = 0; i < c->n_open; i++)
        if (c->open[i]->to_m > here) c->open[kept++] = c->open[i];
    c->n_open = kept;
    for (; next < n && gap[next].from_m <= here; next++) {
        size_t at = c->n_open++;
        for (; at && c->open[at - 1]->z0_m > gap[next].z0_m; at--) c->open[at] = c->open[at - 1];
        c->open[at] = &gap[next];
    }
    return next;
}

static earshot_status fill_columns(cutting *c, es_gap *gap, size_t n)
{
    earshot_status status = EARSHOT_OK;
    size_t next = 0;
    qsort(gap, n, sizeof *gap, by_place);
    collect_cuts(c, gap, n);
    for (size_t column = 0; column + 1 < c->n_cuts && !status; column++) {
        next = enter_column(c, column, gap, n, next);
        status = fill_column(c, column);
    }
    return status;
}

earshot_status es_site_cut_wall(const es_panel *wall, es_gap *gap, size_t n, es_panels *panels)
{
    cutting c = {.wall = wall, .panels = panels, .length_m = hypot(wall->bx_m - wall->ax_m, wall->by_m - wall->ay_m)};
    if (!(c.length_m > 0.0) || !(wall->z1_m > wall->z0_m)) return EARSHOT_OK;
    n = n ? clip_gaps(&c, gap, n) : 0;
    if (!n) return add_panel(panels, *wall);
    c.cut = calloc(2 * n + 2, sizeof *c.cut);
    c.open = calloc(n, sizeof *c.open);
    const earshot_status status = c.cut && c.open ? fill_columns(&c, gap, n) : EARSHOT_MEMORY;
    free(c.open);
    free(c.cut);
    return status;
}
