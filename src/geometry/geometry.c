/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>

#include "geometry/hit.h"

static bool in_reach(double value)
{
    return fabs(value) <= ES_REACH_M; /* false for NaN */
}

static bool points_in_reach(const earshot_point *point, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (!in_reach(point[i].x_m) || !in_reach(point[i].y_m)) return false;
    return true;
}

static bool panel_in_reach(const es_panel *p)
{
    return in_reach(p->ax_m) && in_reach(p->ay_m) && in_reach(p->bx_m) && in_reach(p->by_m) && in_reach(p->z0_m) &&
           in_reach(p->z1_m);
}

static bool sheet_in_reach(const es_sheet *s)
{
    if (!in_reach(s->z_m) || !points_in_reach(s->outline, s->n_outline)) return false;
    for (size_t i = 0; i < s->n_holes; i++)
        if (!points_in_reach(s->hole[i], s->n_hole[i])) return false;
    return true;
}

static bool all_in_reach(const es_geometry *g)
{
    for (size_t i = 0; i < g->n_panels; i++)
        if (!panel_in_reach(&g->panel[i])) return false;
    for (size_t i = 0; i < g->n_sheets; i++)
        if (!sheet_in_reach(&g->sheet[i])) return false;
    for (size_t i = 0; i < g->n_prisms; i++) {
        const es_prism *p = &g->prism[i];
        if (!in_reach(p->z0_m) || !in_reach(p->z1_m) || !points_in_reach(p->outline, p->n_outline)) return false;
    }
    return true;
}

static es_box box_of(const earshot_point *point, size_t n)
{
    es_box box = {{HUGE_VAL, HUGE_VAL}, {-HUGE_VAL, -HUGE_VAL}};
    for (size_t i = 0; i < n; i++) {
        box.low = (earshot_point){fmin(box.low.x_m, point[i].x_m), fmin(box.low.y_m, point[i].y_m)};
        box.high = (earshot_point){fmax(box.high.x_m, point[i].x_m), fmax(box.high.y_m, point[i].y_m)};
    }
    return box;
}

static es_face face_of(const es_panel *p)
{
    const double length_m = hypot(p->bx_m - p->ax_m, p->by_m - p->ay_m), scale = length_m > 0 ? 1 / length_m : 0;
    return (es_face){
        .ax_m = p->ax_m,
        .ay_m = p->ay_m,
        .ux = (p->bx_m - p->ax_m) * scale,
        .uy = (p->by_m - p->ay_m) * scale,
        .length_m = length_m,
        .z0_m = p->z0_m,
        .z1_m = p->z1_m,
        .element = p->element,
    };
}

/* A panel's place in the index. */
typedef struct place {
    double x_m; /* of its middle, twice */
    size_t panel;
} place;

static int by_x(const void *a, const void *b)
{
    const place *p = a, *q = b;
    if (p->x_m != q->x_m) return p->x_m < q->x_m ? -1 : 1;
    return (p->panel > q->panel) - (p->panel < q->panel);
}

/* Along x, the way lines are followed, so that what a line meets in a cell comes almost in order. */
static void place_panels(const es_geometry *g, place *at)
{
    for (size_t i = 0; i < g->n_panels; i++) at[i] = (place){g->panel[i].ax_m + g->panel[i].bx_m, i};
    qsort(at, g->n_panels, sizeof *at, by_x);
}

static bool index_panels(es_geometry *g)
{
    const size_t n = g->n_panels;
    place *at = calloc(n + 1, sizeof *at);
    es_footprint *footprint = calloc(n + 1, sizeof *footprint);
    es_face *face = calloc(n + 1, sizeof *face);
    bool ok = at && footprint && face;
    if (ok) place_panels(g, at);
    for (size_t i = 0; ok && i < n; i++) {
        const es_panel *p = &g->panel[at[i].panel];
        footprint[i] = (es_footprint){p->ax_m, p->ay_m, p->bx_m, p->by_m, false};
        face[i] = face_of(p);
    }
    ok = ok && es_grid_build(&g->grid, footprint, n, g->arena) && es_sketch_build(&g->sketch, &g->grid, face, g->arena);
    g->search = es_panel_search_best();
    free(face);
    free(footprint);
    free(at);
    return ok;
}

static bool index_prisms(es_geometry *g)
{
    es_footprint *footprint = calloc(g->n_prisms + 1, sizeof *footprint);
    for (size_t i = 0; footprint && i < g->n_prisms; i++) {
        const es_box box = box_of(g->prism[i].outline, g->prism[i].n_outline);
        footprint[i] = (es_footprint){box.low.x_m, box.low.y_m, box.high.x_m, box.high.y_m, true};
    }
    const bool ok = footprint && es_grid_build(&g->blocks, footprint, g->n_prisms, g->arena);
    free(footprint);
    return ok;
}

static void sift(const es_sheet *sheet, size_t *rising, size_t root, size_t n)
{
    for (size_t child; (child = 2 * root + 1) < n; root = child) {
        if (child + 1 < n && sheet[rising[child + 1]].z_m > sheet[rising[child]].z_m) child++;
        if (sheet[rising[root]].z_m >= sheet[rising[child]].z_m) return;
        const size_t swap = rising[root];
        rising[root] = rising[child];
        rising[child] = swap;
    }
}

/* Heap sort: the standard's sorts cannot be told which sheets the numbers mean. */
static void sort_by_height(const es_sheet *sheet, size_t *rising, size_t n)
{
    for (size_t i = n / 2; i-- > 0;) sift(sheet, rising, i, n);
    for (size_t end = n; end-- > 1;) {
        const size_t swap = rising[0];
        rising[0] = rising[end];
        rising[end] = swap;
        sift(sheet, rising, 0, end);
    }
}

static bool index_sheets(es_geometry *g)
{
    g->sheet_at = es_arena_take(g->arena, g->n_sheets, sizeof *g->sheet_at);
    g->rising = es_arena_take(g->arena, g->n_sheets, sizeof *g->rising);
    if (!g->sheet_at || !g->rising) return false;
    for (size_t i = 0; i < g->n_sheets; i++) {
        g->sheet_at[i] = box_of(g->sheet[i].outline, g->sheet[i].n_outline);
        g->rising[i] = i;
    }
    sort_by_height(g->sheet, g->rising, g->n_sheets);
    return true;
}

static bool take_copies(es_geometry *g, const es_panel *panel, const es_sheet *sheet, const es_prism *prism)
{
    g->panel = es_arena_copy(g->arena, panel, g->n_panels, sizeof *panel);
    g->sheet = es_arena_copy(g->arena, sheet, g->n_sheets, sizeof *sheet);
    g->prism = es_arena_copy(g->arena, prism, g->n_prisms, sizeof *prism);
    return g->panel && g->sheet && g->prism;
}

earshot_status es_geometry_new(const es_panel *panel, size_t n_panels, const es_sheet *sheet, size_t n_sheets,
                               const es_prism *prism, size_t n_prisms, es_geometry **geometry)
{
    *geometry = NULL;
    es_arena *arena = es_arena_new();
    es_geometry *g = arena ? es_arena_take(arena, 1, sizeof *g) : NULL;
    earshot_status status = EARSHOT_MEMORY;
    if (!g || n_panels + n_sheets + n_prisms > INT32_MAX) goto failed;
    *g = (es_geometry){.arena = arena, .n_panels = n_panels, .n_sheets = n_sheets, .n_prisms = n_prisms};
    if (!take_copies(g, panel, sheet, prism)) goto failed;
    status = EARSHOT_ARGUMENT;
    if (!all_in_reach(g)) goto failed;
    status = EARSHOT_MEMORY;
    if (!index_panels(g) || !index_sheets(g) || !index_prisms(g)) goto failed;
    *geometry = g;
    return EARSHOT_OK;
failed:
    es_arena_free(arena);
    return status;
}

void es_geometry_free(es_geometry *geometry)
{
    if (geometry) es_arena_free(geometry->arena);
}

const es_panel *es_geometry_panels(const es_geometry *geometry, size_t *n)
{
    *n = geometry->n_panels;
    return geometry->panel;
}

const es_sheet *es_geometry_sheets(const es_geometry *geometry, size_t *n)
{
    *n = geometry->n_sheets;
    return geometry->sheet;
}

const es_prism *es_geometry_prisms(const es_geometry *geometry, size_t *n)
{
    *n = geometry->n_prisms;
    return geometry->prism;
}
