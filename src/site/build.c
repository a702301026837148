/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Elements, panels, sheets and prisms of a plan. Elements are numbered in the order walls, openings, slabs, blocks. */
#include "site/build.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/error.h"

/* Holes shared out to slabs; a plan that passes its check stays far below this. */
enum { MAX_HOLES_IN_SLABS = 4000000 };

typedef struct named {
    const char *name;
    size_t index;
} named;

typedef struct builder {
    earshot_site *site;
    const earshot_plan *plan;
    named *by_name;  /* [plan->n_materials] sorted */
    size_t *swapped; /* [plan->n_materials] what each material is in this scene */
    es_panels panels;
    es_sheet *sheet; /* [plan->n_slabs] */
    es_prism *prism; /* [plan->n_blocks] */
    earshot_error *error;
} builder;

static earshot_status no_memory(const builder *b)
{
    return es_fail(b->error, EARSHOT_MEMORY, NULL, "out of memory");
}

static void *take(const builder *b, size_t n, size_t size)
{
    return es_arena_take(b->site->arena, n, size);
}

/* ---- materials by name ---- */

static int by_name_then_index(const void *a, const void *b)
{
    const named *x = a, *y = b;
    const int order = strcmp(x->name, y->name);
    return order ? order : (x->index > y->index) - (x->index < y->index);
}

/* Where a name stands twice the later one counts. False when there is none. */
static bool find_material(const builder *b, const char *name, size_t *index)
{
    size_t low = 0, high = b->plan->n_materials; /* first entry after all of this name */
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        if (strcmp(b->by_name[middle].name, name) <= 0)
            low = middle + 1;
        else
            high = middle;
    }
    if (!low || strcmp(b->by_name[low - 1].name, name) != 0) return false;
    *index = b->by_name[low - 1].index;
    return true;
}

static earshot_status no_material(const builder *b, const char *name)
{
    return es_fail(b->error, EARSHOT_NO_SUCH_NAME, "state it with 'material'", "no material '%s'", name);
}

/* Each swap reads the plan as drawn: a:b,b:a exchanges the two. Of two swaps of one material the later one counts. */
static earshot_status prepare_materials(builder *b, const earshot_scene *scene)
{
    const size_t n = b->plan->n_materials;
    b->by_name = take(b, n, sizeof *b->by_name);
    b->swapped = take(b, n, sizeof *b->swapped);
    if (!b->by_name || !b->swapped) return no_memory(b);
    for (size_t i = 0; i < n; i++) {
        b->by_name[i] = (named){b->plan->material[i].name, i};
        b->swapped[i] = i;
    }
    if (n) qsort(b->by_name, n, sizeof *b->by_name, by_name_then_index);
    for (size_t i = 0; scene && i < scene->n_swaps; i++) {
        size_t from, to;
        if (!find_material(b, scene->swap[i].from, &from)) return no_material(b, scene->swap[i].from);
        if (!find_material(b, scene->swap[i].to, &to)) return no_material(b, scene->swap[i].to);
        b->swapped[from] = to;
    }
    return EARSHOT_OK;
}

/* ---- elements ---- */

static earshot_status number(builder *b, earshot_element_kind kind, size_t statement, unsigned storey,
                             const char *material)
{
    size_t drawn;
    if (storey >= b->plan->n_storeys)
        return es_fail(b->error, EARSHOT_PLAN_INVALID, NULL, "a thing of the plan stands on no storey");
    if (!find_material(b, material, &drawn)) return no_material(b, material);
    b->site->element[b->site->n_elements++] =
        (earshot_element){.kind = kind, .statement = statement, .material = b->swapped[drawn], .storey = storey};
    return EARSHOT_OK;
}

static earshot_status number_elements(builder *b)
{
    const earshot_plan *p = b->plan;
    earshot_status status = EARSHOT_OK;
    b->site->element = take(b, p->n_walls + p->n_openings + p->n_slabs + p->n_blocks, sizeof *b->site->element);
    if (!b->site->element) return no_memory(b);
    for (size_t i = 0; i < p->n_walls && !status; i++)
        status = number(b, EARSHOT_ELEMENT_WALL, i, p->wall[i].storey, p->wall[i].material);
    for (size_t i = 0; i < p->n_openings && !status; i++)
        status = number(b, p->opening[i].window ? EARSHOT_ELEMENT_WINDOW : EARSHOT_ELEMENT_DOOR, i,
                        p->opening[i].storey, p->opening[i].material);
    for (size_t i = 0; i < p->n_slabs && !status; i++)
        status = number(b, EARSHOT_ELEMENT_SLAB, i, p->slab[i].storey, p->slab[i].material);
    for (size_t i = 0; i < p->n_blocks && !status; i++)
        status = number(b, EARSHOT_ELEMENT_BLOCK, i, p->block[i].storey, p->block[i].material);
    return status;
}

static double or_default(double stated, double otherwise)
{
    return isnan(stated) ? otherwise : stated;
}

/* ---- walls ---- */

/* The openings in the order of the pieces of wall that carry them. */
static int by_carrier(const void *a, const void *b)
{
    const earshot_opening *x = *(const earshot_opening *const *)a, *y = *(const earshot_opening *const *)b;
    if (x->wall != y->wall) return x->wall < y->wall ? -1 : 1;
    if (x->piece != y->piece) return x->piece < y->piece ? -1 : 1;
    return (x > y) - (x < y); /* both stand in plan->opening */
}

static double along(const es_panel *wall, earshot_point p)
{
    const double dx = wall->bx_m - wall->ax_m, dy = wall->by_m - wall->ay_m;
    return ((p.x_m - wall->ax_m) * dx + (p.y_m - wall->ay_m) * dy) / hypot(dx, dy);
}

static es_gap gap_of(const builder *b, const es_panel *wall, const earshot_opening *o)
{
    const earshot_storey *storey = &b->plan->storey[o->storey];
    const size_t element = b->plan->n_walls + (size_t)(o - b->plan->opening);
    const size_t material = b->site->element[element].material;
    const double s = along(wall, o->a), t = along(wall, o->b);
    return (es_gap){.from_m = fmin(s, t),
                    .to_m = fmax(s, t),
                    .z0_m = storey->level_m + o->sill_m,
                    .z1_m = storey->level_m + o->head_m,
                    .element = element,
                    .material = material,
                    .thickness_m = b->site->material[material].thickness_m};
}

static es_panel whole_piece(const builder *b, size_t wall, size_t piece)
{
    const earshot_wall *w = &b->plan->wall[wall];
    const earshot_storey *storey = &b->plan->storey[w->storey];
    const earshot_point p = w->point[piece], q = w->point[piece + 1];
    const size_t material = b->site->element[wall].material;
    return (es_panel){.ax_m = p.x_m,
                      .ay_m = p.y_m,
                      .bx_m = q.x_m,
                      .by_m = q.y_m,
                      .z0_m = storey->level_m + or_default(w->from_m, 0.0),
                      .z1_m = storey->level_m + or_default(w->to_m, storey->height_m),
                      .element = wall,
                      .material = material,
                      .thickness_m = b->site->material[material].thickness_m};
}

/* Cut one piece around those of the sorted openings that it carries, from *next on. */
static earshot_status cut_piece(builder *b, size_t wall, size_t piece, const earshot_opening *const *sorted,
                                size_t *next, es_gap *gap)
{
    const es_panel whole = whole_piece(b, wall, piece);
    size_t n = 0;
    for (; *next < b->plan->n_openings; ++*next) {
        const earshot_opening *o = sorted[*next];
        if (o->wall != wall || o->piece != piece) break;
        gap[n++] = gap_of(b, &whole, o);
    }
    const earshot_status status = es_site_cut_wall(&whole, gap, n, &b->panels);
    if (status == EARSHOT_MEMORY) return no_memory(b);
    if (status) return es_fail(b->error, status, "draw openings side by side", "too many openings overlap in one wall");
    return EARSHOT_OK;
}

static earshot_status cut_walls(builder *b)
{
    const earshot_plan *p = b->plan;
    const earshot_opening **sorted = take(b, p->n_openings, sizeof *sorted);
    es_gap *gap = take(b, p->n_openings, sizeof *gap);
    if (!sorted || !gap) return no_memory(b);
    for (size_t i = 0; i < p->n_openings; i++) sorted[i] = &p->opening[i];
    if (p->n_openings) qsort(sorted, p->n_openings, sizeof *sorted, by_carrier);
    size_t next = 0;
    for (size_t wall = 0; wall < p->n_walls; wall++) {
        for (size_t piece = 0; piece + 1 < p->wall[wall].n_points; piece++) {
            const earshot_status status = cut_piece(b, wall, piece, sorted, &next, gap);
            if (status) return status;
        }
    }
    if (next < p->n_openings)
        return es_fail(b->error, EARSHOT_PLAN_INVALID, NULL, "a door or window lies on no wall of its storey");
    return EARSHOT_OK;
}

/* ---- slabs and blocks ---- */

typedef struct box {
    double x0, y0, x1, y1;
} box;

static box box_of(const earshot_point *point, size_t n)
{
    box all = {INFINITY, INFINITY, -INFINITY, -INFINITY};
    for (size_t i = 0; i < n; i++) {
        all.x0 = fmin(all.x0, point[i].x_m);
        all.y0 = fmin(all.y0, point[i].y_m);
        all.x1 = fmax(all.x1, point[i].x_m);
        all.y1 = fmax(all.y1, point[i].y_m);
    }
    return all;
}

static bool overlap(box a, box b)
{
    return a.x0 < b.x1 && a.x1 > b.x0 && a.y0 < b.y1 && a.y1 > b.y0;
}

/* A hole takes away only what lies inside it, so giving it to a slab whose box it touches is always right. */
static earshot_status give_holes(const builder *b, const earshot_slab *slab, const box *hole_box, es_sheet *sheet)
{
    const earshot_plan *p = b->plan;
    const box mine = box_of(slab->point, slab->n_points);
    size_t n = 0;
    for (size_t i = 0; i < p->n_holes; i++) n += p->hole[i].storey == slab->storey && overlap(hole_box[i], mine);
    const earshot_point **hole = take(b, n, sizeof *hole);
    size_t *n_hole = take(b, n, sizeof *n_hole);
    if (!hole || !n_hole) return no_memory(b);
    sheet->hole = hole;
    sheet->n_hole = n_hole;
    for (size_t i = 0; i < p->n_holes && sheet->n_holes < n; i++) {
        if (p->hole[i].storey != slab->storey || !overlap(hole_box[i], mine)) continue;
        hole[sheet->n_holes] = p->hole[i].point;
        n_hole[sheet->n_holes++] = p->hole[i].n_points;
    }
    return EARSHOT_OK;
}

/* The underside of a slab is the ceiling below it; it is thought of as a sheet at its middle. */
static earshot_status lay_slabs(builder *b)
{
    const earshot_plan *p = b->plan;
    b->sheet = take(b, p->n_slabs, sizeof *b->sheet);
    box *hole_box = take(b, p->n_holes, sizeof *hole_box);
    if (!b->sheet || !hole_box) return no_memory(b);
    for (size_t i = 0; i < p->n_holes; i++) hole_box[i] = box_of(p->hole[i].point, p->hole[i].n_points);
    for (size_t i = 0, holes = 0; i < p->n_slabs; i++) {
        const earshot_slab *slab = &p->slab[i];
        const earshot_storey *storey = &p->storey[slab->storey];
        const size_t element = p->n_walls + p->n_openings + i, material = b->site->element[element].material;
        const double thickness_m = b->site->material[material].thickness_m;
        b->sheet[i] = (es_sheet){.outline = slab->point,
                                 .n_outline = slab->n_points,
                                 .z_m = storey->level_m + or_default(slab->at_m, storey->height_m) + thickness_m / 2.0,
                                 .thickness_m = thickness_m,
                                 .element = element,
                                 .material = material};
        const earshot_status status = give_holes(b, slab, hole_box, &b->sheet[i]);
        if (status) return status;
        holes += b->sheet[i].n_holes;
        if (holes > MAX_HOLES_IN_SLABS)
            return es_fail(b->error, EARSHOT_PLAN_LIMIT, "draw fewer holes", "too many holes lie over too many slabs");
    }
    return EARSHOT_OK;
}

static earshot_status stand_blocks(builder *b)
{
    const earshot_plan *p = b->plan;
    b->prism = take(b, p->n_blocks, sizeof *b->prism);
    if (!b->prism) return no_memory(b);
    for (size_t i = 0; i < p->n_blocks; i++) {
        const earshot_block *block = &p->block[i];
        const earshot_storey *storey = &p->storey[block->storey];
        const size_t element = p->n_walls + p->n_openings + p->n_slabs + i;
        b->prism[i] = (es_prism){.outline = block->point,
                                 .n_outline = block->n_points,
                                 .z0_m = storey->level_m + or_default(block->from_m, 0.0),
                                 .z1_m = storey->level_m + or_default(block->to_m, storey->height_m),
                                 .element = element,
                                 .material = b->site->element[element].material};
    }
    return EARSHOT_OK;
}

earshot_status es_site_build(earshot_site *site, const earshot_scene *scene, earshot_error *error)
{
    builder b = {.site = site, .plan = site->plan, .error = error};
    earshot_status status = prepare_materials(&b, scene);
    if (!status) status = number_elements(&b);
    if (!status) status = lay_slabs(&b);
    if (!status) status = stand_blocks(&b);
    if (!status) status = cut_walls(&b);
    if (!status) {
        status = es_geometry_new(b.panels.item, b.panels.n, b.sheet, b.plan->n_slabs, b.prism, b.plan->n_blocks,
                                 &site->geometry);
        if (status) es_fail(error, status, NULL, "%s", earshot_status_text(status));
    }
    free(b.panels.item);
    return status;
}
