/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From two points to the crossings between them. */
#include <math.h>
#include <stdlib.h>

#include "geometry/hit.h"

/* One that began in a cell before was seen there. */
static bool seen_before(const es_grid *grid, size_t entry, size_t second_cell)
{
    return entry >= second_cell && grid->entry[entry] % 2 == 0;
}

static bool add_prisms(const es_geometry *g, const es_line *line, es_hits *hits)
{
    if (g->n_prisms == 0) return true;
    const es_footprint ground_plan = {line->a.x_m, line->a.y_m, line->b.x_m, line->b.y_m, false};
    es_grid_walk walk = es_grid_walk_start(&g->blocks, &ground_plan);
    while (es_grid_walk_row(&walk)) {
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

static bool add_sheets(const es_geometry *g, const es_line *line, es_hits *hits)
{
    const double low_m = fmin(line->a.z_m, line->b.z_m), high_m = fmax(line->a.z_m, line->b.z_m);
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

static bool add_others(const es_geometry *g, const es_line *line, es_hits *hits)
{
    if (g->n_prisms == 0 && g->n_sheets == 0) return true;
    es_line l = *line;
    es_line_finish(&l);
    return add_prisms(g, &l, hits) && add_sheets(g, &l, hits);
}

double es_incidence_rad(double cosine, double sine)
{
    return cosine < sine ? acos(cosine) : asin(sine);
}

earshot_crossing es_crossing_of_hit(const es_hit *hit)
{
    return (earshot_crossing){
        .distance_m = es_hit_at_m(hit),
        .incidence_rad = es_incidence_rad(hit->cosine, hit->sine),
        .element = hit->element,
        .group = hit->group,
    };
}

static void write_out(const es_hits *hits, double length_m, bool swapped, earshot_crossing *crossing, size_t limit)
{
    const size_t n = hits->n, last_group = n ? hits->hit[n - 1].group : 0;
    for (size_t i = 0; i < n && i < limit; i++) {
        crossing[i] = es_crossing_of_hit(&hits->hit[swapped ? n - 1 - i : i]);
        if (!swapped) continue;
        crossing[i].distance_m = length_m - crossing[i].distance_m;
        crossing[i].group = last_group - crossing[i].group;
    }
}

static bool in_reach(earshot_vec3 p)
{
    return fabs(p.x_m) <= ES_REACH_M && fabs(p.y_m) <= ES_REACH_M && fabs(p.z_m) <= ES_REACH_M;
}

static bool find_all(const es_geometry *g, const es_line *line, es_passes *passes, es_hits *hits)
{
    return g->search(g, line, passes, hits) && add_others(g, line, hits);
}

earshot_status es_geometry_crossings(const es_geometry *geometry, earshot_vec3 a, earshot_vec3 b,
                                     earshot_crossing *crossing, size_t limit, size_t *n)
{
    if (!in_reach(a) || !in_reach(b)) return EARSHOT_ARGUMENT;
    es_line line;
    const bool swapped = es_line_start(&line, &a, &b);
    es_passes passes;
    es_hits hits;
    passes.n = 0;
    es_hits_start(&hits);
    bool ok = line.length_m <= ES_SPOT_M || find_all(geometry, &line, &passes, &hits);
    const bool apart = ok && es_passes_apart(geometry, &passes, &hits);
    ok = apart || (ok && es_passes_to_hits(geometry, &line, &passes, &hits));
    if (apart) {
        es_passes_write(geometry, &line, &passes, &hits, swapped, crossing, limit);
        *n = passes.n;
    } else if (ok) {
        es_hits_group(&hits);
        write_out(&hits, line.length_m, swapped, crossing, limit);
        *n = hits.n;
    }
    es_hits_free(&hits);
    return ok ? EARSHOT_OK : EARSHOT_MEMORY;
}
