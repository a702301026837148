/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From two points to the crossings between them. */
#include <math.h>
#include <stdlib.h>

#include "geometry/hit.h"

static bool comes_before(earshot_vec3 a, earshot_vec3 b)
{
    if (a.x_m != b.x_m) return a.x_m < b.x_m;
    if (a.y_m != b.y_m) return a.y_m < b.y_m;
    return a.z_m < b.z_m;
}

static es_line line_between(earshot_vec3 a, earshot_vec3 b)
{
    const double dx = b.x_m - a.x_m, dy = b.y_m - a.y_m, dz = b.z_m - a.z_m;
    const double level_m = sqrt(dx * dx + dy * dy), length_m = sqrt(dx * dx + dy * dy + dz * dz);
    es_line line = {.a = a, .length_m = length_m};
    if (length_m == 0) return line;
    line.dx = dx / length_m;
    line.dy = dy / length_m;
    line.dz = dz / length_m;
    line.level = level_m / length_m;
    if (level_m > 0) {
        line.ex = dx / level_m;
        line.ey = dy / level_m;
    }
    return line;
}

static bool add_face(const es_geometry *g, uint32_t face, const es_line *line, es_hits *hits)
{
    es_hit *const hit = es_hits_next(hits);
    if (!hit) return false;
    if (!es_face_meet(&g->face[face], line, hit)) return true;
    hit->part = face;
    hit->element = g->face[face].element;
    hits->n++;
    return true;
}

/* One that began in a cell before was seen there. */
static bool seen_before(const es_grid *grid, size_t entry, size_t second_cell)
{
    return entry >= second_cell && grid->entry[entry] % 2 == 0;
}

static bool add_panels(const es_geometry *g, const es_footprint *ground_plan, const es_line *line, es_hits *hits)
{
    const es_sketch_line sketched =
        es_sketch_line_from(&g->sketch, (earshot_point){line->a.x_m, line->a.y_m}, line->ex, line->ey);
    es_grid_walk walk = es_grid_walk_start(&g->grid, ground_plan);
    while (es_grid_walk_row(&walk)) {
        const uint32_t *start = g->grid.start + (size_t)walk.row * g->grid.columns;
        const size_t end = start[walk.last + 1];
        for (size_t i = start[walk.first]; i < end; i += ES_SKETCH_LANES) {
            uint32_t met = es_sketch_look(&g->sketch, &sketched, i);
            for (size_t k = i; met && k < end; k++, met >>= 1) {
                if (!(met & 1) || seen_before(&g->grid, k, start[walk.first + 1])) continue;
                if (!add_face(g, g->grid.entry[k] / 2, line, hits)) return false;
            }
        }
    }
    return true;
}

static bool add_prisms(const es_geometry *g, const es_footprint *ground_plan, const es_line *line, es_hits *hits)
{
    es_grid_walk walk = es_grid_walk_start(&g->blocks, ground_plan);
    while (g->n_prisms && es_grid_walk_row(&walk)) {
        const uint32_t *start = g->blocks.start + (size_t)walk.row * g->blocks.columns;
        for (size_t i = start[walk.first]; i < start[walk.last + 1]; i++) {
            if (seen_before(&g->blocks, i, start[walk.first + 1])) continue;
            const size_t prism = g->blocks.entry[i] / 2;
            const uint32_t part = (uint32_t)(g->n_panels + g->n_sheets + prism);
            if (!es_prism_meet(&g->prism[prism], part, line, hits)) return false;
        }
    }
    return true;
}

static bool add_sheets(const es_geometry *g, double low_m, double high_m, const es_line *line, es_hits *hits)
{
    size_t first = 0;
    for (size_t end = g->n_sheets; first < end;) {
        const size_t middle = first + (end - first) / 2;
        if (g->sheet[g->rising[middle]].z_m < low_m - ES_SPOT_M)
            first = middle + 1;
        else
            end = middle;
    }
    for (size_t i = first; i < g->n_sheets; i++) {
        const size_t sheet = g->rising[i];
        if (g->sheet[sheet].z_m > high_m + ES_SPOT_M) break;
        if (!es_sheet_meet(&g->sheet[sheet], &g->sheet_at[sheet], (uint32_t)(g->n_panels + sheet), line, hits))
            return false;
    }
    return true;
}

static bool add_all(const es_geometry *g, earshot_vec3 a, earshot_vec3 b, const es_line *line, es_hits *hits)
{
    const es_footprint ground_plan = {a.x_m, a.y_m, b.x_m, b.y_m, false};
    return add_panels(g, &ground_plan, line, hits) && add_prisms(g, &ground_plan, line, hits) &&
           add_sheets(g, fmin(a.z_m, b.z_m), fmax(a.z_m, b.z_m), line, hits);
}

/* From the one of the two that knows it best. */
static double incidence_rad(const es_hit *hit)
{
    return hit->cosine < hit->sine ? acos(hit->cosine) : asin(hit->sine);
}

static earshot_crossing crossing_of(const es_hit *hit)
{
    return (earshot_crossing){
        .distance_m = es_hit_at_m(hit),
        .incidence_rad = incidence_rad(hit),
        .element = hit->element,
        .group = hit->group,
    };
}

static void write_out(const es_hits *hits, double length_m, bool swapped, earshot_crossing *crossing, size_t limit)
{
    const size_t n = hits->n, last_group = n ? hits->hit[n - 1].group : 0;
    for (size_t i = 0; i < n && i < limit; i++) {
        crossing[i] = crossing_of(&hits->hit[swapped ? n - 1 - i : i]);
        if (!swapped) continue;
        crossing[i].distance_m = length_m - crossing[i].distance_m;
        crossing[i].group = last_group - crossing[i].group;
    }
}

static bool in_reach(earshot_vec3 p)
{
    return fabs(p.x_m) <= ES_REACH_M && fabs(p.y_m) <= ES_REACH_M && fabs(p.z_m) <= ES_REACH_M;
}

earshot_status es_geometry_crossings(const es_geometry *geometry, earshot_vec3 a, earshot_vec3 b,
                                     earshot_crossing *crossing, size_t limit, size_t *n)
{
    if (!in_reach(a) || !in_reach(b)) return EARSHOT_ARGUMENT;
    const bool swapped = comes_before(b, a);
    const earshot_vec3 low = swapped ? b : a, high = swapped ? a : b;
    const es_line line = line_between(low, high);
    es_hits hits;
    hits.hit = hits.at_hand;
    hits.n = 0;
    hits.capacity = ES_HITS_AT_HAND;
    const bool ok = line.length_m <= ES_SPOT_M || add_all(geometry, low, high, &line, &hits);
    if (ok) {
        es_hits_group(&hits);
        write_out(&hits, line.length_m, swapped, crossing, limit);
        *n = hits.n;
    }
    if (hits.hit != hits.at_hand) free(hits.hit);
    return ok ? EARSHOT_OK : EARSHOT_MEMORY;
}
